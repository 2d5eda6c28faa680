"""What a new dance comes with: the usual holds, their free changes, and the rhythms of its metre.

A school changes any of it afterwards. Facing is (follower - leader) mod 8 in eighths of a turn at the
start and end of a figure; None = free. Holds and changes: common practice, no source. A rhythm's lengths
are in ticks, 12 to the beat; its source stands with it.
"""

from __future__ import annotations

from dataclasses import dataclass

from curriculum.models import FloorUse

_PRACTICE = "common practice, no source"
_ASSOCIATE = "IDTA Associate theory"


@dataclass(frozen=True)
class StandardHold:
    """A hold, which holds (by key) it turns into freely, and the floors it belongs to (empty = every one)."""

    key: str
    name: str
    facing: int | None
    turns_into: tuple[str, ...] = ()
    same_foot: bool = False
    floors: tuple[str, ...] = ()

    def belongs_to(self, floor_use: str) -> bool:
        return not self.floors or floor_use in self.floors


@dataclass(frozen=True)
class StandardRhythm:
    """A rhythm of a metre: counts with their ticks, and the beat of the bar it begins on."""

    name: str
    beats_per_bar: int
    counts: tuple[tuple[str, int], ...]
    source: str
    begins_on_beat: int = 1


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


def _rhythm(
    name: str, beats_per_bar: int, counts: str, ticks: str, source: str, begins: int = 1
) -> StandardRhythm:
    pairs = zip(counts.split(), (int(length) for length in ticks.split()), strict=True)
    return StandardRhythm(name, beats_per_bar, tuple(pairs), source, begins)


RHYTHMS = (
    _rhythm("waltz", 3, "1 2 3", "12 12 12", _ASSOCIATE),
    _rhythm("waltz chasse", 3, "1 2 & 3", "12 6 6 12", _ASSOCIATE),
    _rhythm("waltz turning lock", 3, "1 & 2 3", "6 6 12 12", "computed from the count"),
    _rhythm("slow quick quick slow", 4, "S Q Q S", "24 12 12 24", _ASSOCIATE),
    _rhythm("cha-cha", 4, "2 3 4 & 1", "12 12 6 6 12", "Dance sport teaching newsletter no. 3", 2),
    _rhythm("rumba", 4, "2 3 4-1", "12 12 24", "computed from the count", 2),
    _rhythm("jive basic", 4, "Q Q Q a Q Q a Q", "12 12 9 3 12 9 3 12", _ASSOCIATE),
    _rhythm("three steps and a tap", 4, "1 2 3 tap", "12 12 12 12", _PRACTICE),
    _rhythm("two walks", 4, "1 2", "12 12", _PRACTICE),
    _rhythm("triple step (straight)", 4, "1 & 2", "6 6 12", _PRACTICE),
    _rhythm("triple step (swung)", 4, "1 & 2", "8 4 12", _PRACTICE),
    _rhythm(
        "breaking on 1",
        4,
        "1 2 3 hold 5 6 7 hold",
        "12 12 12 12 12 12 12 12",
        _PRACTICE,
    ),
    _rhythm("tango, slow quick quick slow", 2, "S Q Q S", "12 6 6 12", _ASSOCIATE),
    _rhythm("tango natural promenade turn", 2, "S Q Q S &", "12 6 6 9 3", _ASSOCIATE),
    _rhythm("samba", 2, "1 a 2", "9 3 12", _ASSOCIATE),
    _rhythm("samba, slow quick quick", 2, "S Q Q", "12 6 6", _ASSOCIATE),
)


def holds_for(floor_use: str) -> tuple[StandardHold, ...]:
    """The usual holds of a dance of this floor use; a change into one it lacks is left out by the caller."""
    return tuple(hold for hold in HOLDS if hold.belongs_to(floor_use))


def rhythms_for(beats_per_bar: int) -> tuple[StandardRhythm, ...]:
    """The rhythms of a metre; none for an unusual one."""
    return tuple(rhythm for rhythm in RHYTHMS if rhythm.beats_per_bar == beats_per_bar)
