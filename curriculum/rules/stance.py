"""Stances and passages: where a couple stands between two figures, and the ways through a figure.

What a stance leaves open is part of its meaning (common practice, no source):

* None in an ENTRY means any hold, either foot, any place.
* None in an EXIT's hold means the hold is not known; in its foot, that either foot may be free; in its
  place, that the couple stays where the passage began. The place is unknown only if it was unknown there.
* A corner of the room lies between two figures: the new line of dance is two eighths to the left, so the
  same direction of the body has a number higher by two (facing DC before it is facing DW after it).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from curriculum.rules.alignment import EIGHTHS, turned

TICKS_PER_BEAT: Final = 12
CORNER_EIGHTHS: Final = 2


@dataclass(frozen=True, slots=True)
class Stance:
    """The state between two figures.

    hold: key of the hold. foot: the leader's free foot, "L" or "R". place: the end of the slot where the
    follower stands (0, 1), or the direction the leader faces (0..7 from LOD clockwise).
    """

    hold: str | None
    foot: str | None = None
    place: int | None = None

    def __post_init__(self) -> None:
        if self.foot not in (None, "L", "R"):
            raise ValueError(f"The free foot is L or R, not {self.foot!r}.")
        if self.place is not None and not 0 <= self.place < EIGHTHS:
            raise ValueError(f"A place is a number from 0 to {EIGHTHS - 1}, not {self.place!r}.")


UNKNOWN: Final = Stance(None)
"""Before anything was danced: agrees with every entry."""


@dataclass(frozen=True, slots=True)
class Passage:
    """One way through a figure: from the stance it starts in to the stance it ends in.

    figure: the figure's key. beats: whole beats, or a Fraction in twelfths. give: eighths it may be turned
    more or less at its end.
    """

    figure: str
    entry: Stance
    exit: Stance
    beats: int | Fraction
    give: int = 0

    def __post_init__(self) -> None:
        if not isinstance(self.beats, int | Fraction):
            raise TypeError("Beats are whole numbers or Fractions, so that sums stay exact.")
        if self.beats < 0 or (self.beats * TICKS_PER_BEAT) % 1:
            raise ValueError(f"{self.figure}: {self.beats} beats are not a number of twelfths from 0 up.")
        if self.give < 0:
            raise ValueError(f"{self.figure}: give is a number of eighths from 0 up, not {self.give}.")


@dataclass(frozen=True, slots=True)
class Corner:
    """Between two passages the couple goes round a corner of the room: no figure, no beats."""


CORNER: Final = Corner()

RoutineItem = Passage | Corner


@dataclass(frozen=True, slots=True)
class Floor:
    """What a dance's holds allow. relaxes: hold -> holds it can turn into between two figures, in one step.

    The hold itself need not be listed.
    """

    relaxes: Mapping[str, Collection[str]] = field(default_factory=dict)

    def frees(self, hold: str | None, wanted: str | None) -> bool:
        """Whether one free change leads from the one hold to the other."""
        return hold is not None and wanted is not None and wanted in self.relaxes.get(hold, ())


def stance_after(before: Stance, passage: Passage) -> Stance:
    """Where a couple that stood in `before` stands after the passage."""
    place = passage.exit.place
    if place is None:
        place = before.place if passage.entry.place is None else passage.entry.place
    return Stance(passage.exit.hold, passage.exit.foot, place)


def round_the_corner(stance: Stance) -> Stance:
    """The same couple, measured against the next side of the room."""
    if stance.place is None:
        return stance
    return Stance(stance.hold, stance.foot, turned(stance.place, CORNER_EIGHTHS))


def stances_along(routine: Sequence[RoutineItem], *, start: Stance = UNKNOWN) -> tuple[Stance, ...]:
    """The stance before the first item, then after each: one more than the routine has items."""
    stances = [start]
    for item in routine:
        after = round_the_corner(stances[-1]) if isinstance(item, Corner) else stance_after(stances[-1], item)
        stances.append(after)
    return tuple(stances)
