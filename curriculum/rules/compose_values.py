"""What the composer is asked and what it answers: plain, immutable values."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal

from curriculum.rules.stance import TICKS_PER_BEAT, Floor, Passage, RoutineItem, Stance

Status = Literal["optimal", "feasible", "impossible", "unknown"]
DemandKind = Literal["in a row", "untaught", "avoided", "end", "start", "required", "beats"]
Cost = tuple[int, int]
"""Runs beyond a figure's first, summed over the figures; less the number of newest figures that appear."""
NEVER: Final = 10**9
"""As one number: what cannot be had costs as much."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One demand of a routine to be composed. figure: the key it speaks of, "" where it speaks of none."""

    kind: DemandKind
    figure: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Composition:
    """The composer's answer.

    status: "optimal" (proved), "feasible" (sound; perhaps not the best), "impossible" (proved) or "unknown"
    (the time was over before any routine was found). passages: the routine, corners included; () without one.
    cost and bound: of the routine, and the least that any routine can cost; None without a routine. conflict:
    why it is impossible: demands that cannot be met together, none of which could be spared.
    """

    status: Status
    passages: tuple[RoutineItem, ...] = ()
    cost: Cost | None = None
    bound: Cost | None = None
    conflict: tuple[Demand, ...] = ()


@dataclass(frozen=True)
class Question:
    """A routine asked for, every value in its plainest form. beats None: of any length.

    rows: figure -> how often in a row, where it is not once; None = as often as one likes. corner_every: a
    corner may lie wherever so many beats have been danced; None = nowhere.
    """

    passages: tuple[Passage, ...]
    start: Stance
    end: Stance | None
    beats: Fraction | None
    floor: Floor
    taught: frozenset[str]
    required: tuple[str, ...]
    avoid: frozenset[str]
    newest: frozenset[str] = frozenset()
    rows: Mapping[str, int | None] = field(default_factory=dict)
    corner_every: Fraction | None = None

    def row(self, figure: str) -> int | None:
        """How often the figure may stand in a row."""
        return self.rows.get(figure, 1)

    @property
    def usable(self) -> tuple[Passage, ...]:
        """What may be danced: taught, not to be avoided, and of some length."""
        return tuple(
            passage
            for passage in self.passages
            if passage.figure in self.taught and passage.figure not in self.avoid and passage.beats
        )


def question(
    passages: Sequence[Passage],
    *,
    start: Stance,
    end: Stance | None,
    beats: int | Fraction,
    floor: Floor,
    taught: Collection[str],
    required: Collection[str],
    avoid: Collection[str],
    newest: Collection[str],
    in_a_row: Mapping[str, int],
    corner_every: int | Fraction | None,
) -> Question:
    """The question in its plainest form. ValueError, with a sentence, if it cannot be read as one."""
    length = _length(beats, "The length of a routine")
    every = None if corner_every is None else _length(corner_every, "The way from corner to corner")
    if every is not None and not every:
        raise ValueError("The way from corner to corner is longer than nothing.")
    for figure, times in in_a_row.items():
        if times < 0:
            raise ValueError(f"{figure} cannot stand {times} times in a row.")
    return Question(
        passages=tuple(dict.fromkeys(passages)),
        start=start,
        end=end,
        beats=length,
        floor=floor,
        taught=frozenset(taught),
        required=tuple(dict.fromkeys(required)),
        avoid=frozenset(avoid),
        newest=frozenset(newest),
        rows=dict(in_a_row),
        corner_every=every,
    )


def _length(beats: int | Fraction, what: str) -> Fraction:
    if not isinstance(beats, int | Fraction):
        raise TypeError("Beats are whole numbers or Fractions, so that sums stay exact.")
    if beats < 0 or (beats * TICKS_PER_BEAT) % 1:
        raise ValueError(f"{what} is a number of beats from 0 up, in twelfths, not {beats}.")
    return Fraction(beats)
