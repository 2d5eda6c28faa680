"""A routine in music: how long it is at a tempo, and how often it goes into a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from curriculum import problems
from curriculum.models import Dance, FloorUse
from curriculum.rules.chain import CORNER, Floor, RoutineItem
from curriculum.rules.music_fit import Fit, fit_into, say_length
from curriculum.strip import StripJoin

USUAL_LENGTH = 120
"""Seconds of music that are reckoned with unless something is chosen."""


@dataclass(frozen=True)
class Again:
    """Whether a routine can be danced again from its start. broken: how many of its own joins don't connect;
    join: from its end into its start, None without a figure; corner: that join lies round a corner of the
    room."""

    broken: int = 0
    join: StripJoin | None = None
    corner: bool = False

    @property
    def most(self) -> int | None:
        """How often in a row it can be danced at most; None: as often as one likes."""
        return None if not self.why_not else 1

    @property
    def why_not(self) -> str:
        """Why it cannot be danced again; "" where it can. Joins inside it come first: without them it is not
        even danced once."""
        if self.broken:
            return f"{self.broken} join{'' if self.broken == 1 else 's'} in it must be mended first."
        if self.join is not None and self.join.mark == "broken":
            return f"Its end doesn’t connect to its start. {self.join.reason}"
        return ""

    @property
    def first(self) -> str:
        """What is to be done each time before it is danced again, or ""."""
        change = self.join.reason if self.join is not None and self.join.mark == "change" else ""
        corner = "Go round a corner of the room." if self.corner else ""
        return " ".join(filter(None, (corner, change)))


@dataclass(frozen=True)
class InMusic:
    """The routine at a tempo in a piece of a length. `fit`: None where it has no length."""

    bars_per_minute: Decimal
    seconds: int
    fit: Fit | None
    again: Again

    @property
    def one_round(self) -> str:
        """Seconds of the routine danced once, to the tenth: "32.0"."""
        return f"{float(self.fit.round_seconds):.1f}" if self.fit else ""

    @property
    def length(self) -> str:
        return say_length(self.seconds)

    @property
    def often(self) -> str:
        """How often it goes in, in words: "3 times into 2:00, 0:24 over"."""
        return how_often(self.fit, self.again, into=f" into {self.length}") if self.fit else ""


def again_of(items: Sequence[RoutineItem], broken: int, *, dance: Dance, floor: Floor) -> Again:
    """Straight on, or else, in a dance that travels, round a corner of the room. No query."""
    row = tuple(items)
    straight = problems.join_of_rows(row, row, dance=dance, floor=floor)
    if straight is not None and straight.status == "broken" and dance.floor_use == FloorUse.TRAVELS:
        turned = problems.join_of_rows((*row, CORNER), row, dance=dance, floor=floor)
        if turned is not None and turned.status != "broken":
            return Again(broken, StripJoin.of(turned), corner=True)
    return Again(broken, StripJoin.of(straight) if straight else None)


def how_often(fit: Fit, again: Again, *, into: str = "") -> str:
    """In words. A routine that is broken goes in as often as nobody knows yet."""
    if again.broken:
        return "not danced through yet"
    if not fit.times:
        return f"not once{into}"
    times = "once" if fit.times == 1 else f"{fit.times} times"
    return f"{times}{into}, {say_length(fit.left)} over"


def usual_tempo(dance: Dance) -> Decimal | None:
    """The middle of the dance's range, in bars a minute."""
    slowest, quickest = dance.slowest_bars_per_minute, dance.quickest_bars_per_minute
    if slowest is None or quickest is None:
        return slowest or quickest
    return (slowest + quickest) / 2


def in_music(
    beats: Fraction, dance: Dance, tempo: Decimal | None, seconds: int | None, again: Again
) -> InMusic | None:
    """None where no tempo was chosen and the dance has none."""
    bars = tempo or usual_tempo(dance)
    if not bars:
        return None
    length = seconds or USUAL_LENGTH
    if not beats:
        return InMusic(bars, length, None, again)
    fit = fit_into(
        beats,
        phrase_beats=dance.beats_per_bar * dance.bars_per_phrase,
        beats_per_minute=Fraction(bars) * dance.beats_per_bar,
        seconds=length,
        most=again.most,
    )
    return InMusic(bars, length, fit, again)
