"""What a new dance comes with: the usual holds, their free changes, and rhythms; and what is known of the
common dances to start from.

A school changes any of it afterwards. Facing is (follower - leader) mod 8 in eighths of a turn at the
start and end of a figure; None = free. Holds and changes: common practice, no source. Rhythms and dances
stand in standard_dances.toml, each with its source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from curriculum.models import FloorUse, name_key
from curriculum.models.dances import TICKS_PER_BEAT

_FILE = Path(__file__).with_name("standard_dances.toml")


@dataclass(frozen=True)
class StandardHold:
    """A hold, which holds (by key) it turns into freely, and the floors it belongs to (empty = every one)."""

    key: str
    name: str
    facing: int | None
    turns_into: tuple[str, ...] = ()
    same_foot: bool = False
    floors: tuple[str, ...] = ()

    @property
    def turned_from(self) -> tuple[str, ...]:
        """The usual holds (by key) that turn freely into it."""
        return tuple(hold.key for hold in HOLDS if self.key in hold.turns_into)

    def belongs_to(self, floor_use: str) -> bool:
        return not self.floors or floor_use in self.floors


@dataclass(frozen=True)
class StandardRhythm:
    """A rhythm of a metre: counts with their ticks, 12 to the beat, and the beat of the bar it begins on."""

    name: str
    beats_per_bar: int
    counts: tuple[tuple[str, int], ...]
    source: str
    begins_on_beat: int = 1


@dataclass(frozen=True)
class StandardDance:
    """A common dance. Tempi in bars a minute."""

    name: str
    beats_per_bar: int
    slowest_bars_per_minute: int
    quickest_bars_per_minute: int
    tempo_source: str
    floor_use: str
    rhythms: tuple[StandardRhythm, ...]

    @property
    def note(self) -> str:
        """What the dance's note says of its tempo."""
        return f"Tempo: {self.tempo_source}."


HOLDS = (
    StandardHold("CL", "closed", 4, ("2H", "LR")),
    StandardHold("PR", "promenade", 6, floors=(FloorUse.TRAVELS,)),
    StandardHold("2H", "two-hand", 4, ("CL", "LR", "RL", "AP")),
    StandardHold("LR", "left-to-right", 4, ("2H", "CL", "RL")),
    StandardHold("RL", "right-to-left", 4, ("2H", "LR")),
    StandardHold("RR", "right-to-right (handshake)", 4, ("LR",)),
    StandardHold("XH", "crossed hands", 4, ("RR",)),
    StandardHold("SL", "side by side, follower on the left", 0),
    StandardHold("SR", "side by side, follower on the right", 0),
    StandardHold("FN", "fan", 2, floors=(FloorUse.SPOT,)),
    StandardHold("WR", "wrap", 0),
    StandardHold("SH", "shadow", 0, same_foot=True),
    StandardHold("AP", "apart", None, ("2H", "LR")),
)


def _read() -> tuple[tuple[StandardRhythm, ...], tuple[StandardDance, ...]]:
    data = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    rhythms = {row["name"]: _rhythm(row) for row in data["rhythm"]}
    dances = tuple(
        StandardDance(
            name=row["name"],
            beats_per_bar=row["beats_per_bar"],
            slowest_bars_per_minute=row["slowest"],
            quickest_bars_per_minute=row["quickest"],
            tempo_source=row["tempo_source"],
            floor_use=row["floor_use"],
            rhythms=tuple(rhythms[name] for name in row["rhythms"]),
        )
        for row in data["dance"]
    )
    return tuple(rhythms.values()), tuple(sorted(dances, key=lambda dance: name_key(dance.name)))


def _rhythm(row: dict[str, Any]) -> StandardRhythm:
    lengths = (int(Fraction(beats) * TICKS_PER_BEAT) for beats in row["beats"].split())
    counts = tuple(zip(row["counts"].split(), lengths, strict=True))
    begins = row.get("begins_on_beat", 1)
    return StandardRhythm(row["name"], row["beats_per_bar"], counts, row["source"], begins)


RHYTHMS, DANCES = _read()


def holds_for(floor_use: str) -> tuple[StandardHold, ...]:
    """The usual holds of a dance of this floor use; a change into one it lacks is left out by the caller."""
    return tuple(hold for hold in HOLDS if hold.belongs_to(floor_use))


def usual_hold(name: str) -> StandardHold | None:
    """The usual hold of that name or key, on whatever floor, if it is one."""
    wanted = name_key(name)
    return next((hold for hold in HOLDS if wanted in (name_key(hold.name), name_key(hold.key))), None)


def rhythms_for(beats_per_bar: int) -> tuple[StandardRhythm, ...]:
    """The rhythms of a metre; none for an unusual one."""
    return tuple(rhythm for rhythm in RHYTHMS if rhythm.beats_per_bar == beats_per_bar)


def standard_dance(name: str) -> StandardDance | None:
    """The common dance of that name, if it is one."""
    return next((dance for dance in DANCES if name_key(dance.name) == name_key(name)), None)
