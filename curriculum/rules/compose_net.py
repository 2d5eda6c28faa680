"""The floor plan of a search for routines: where a couple can stand, and every run that leads on from there.

A run is one figure danced as often in a row as it bears, at least once. A routine is then a row of runs in
which neighbours are different figures, and coming back to a figure is a second run of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

import numpy as np

from curriculum.rules.compose_values import Question
from curriculum.rules.joins import joins
from curriculum.rules.stance import TICKS_PER_BEAT, Passage, Stance, round_the_corner, stance_after

Place = tuple[Stance, int]
"""Where the couple stands, and how many eighths the figure that led there may be turned more or less."""


@dataclass(frozen=True, slots=True)
class Run:
    """start, end: numbers of places. length: in the net's unit. figure: its number. passages: in turn."""

    start: int
    end: int
    length: int
    figure: int
    passages: tuple[Passage, ...]


class Net:
    """All runs from all places a couple can come to. Place 0 is the start of the routine.

    length: of the routine, in a unit in which every length is whole; None = any, and lengths of runs then
    count only as far as corners hang on them. every: a corner may lie after so much; 0 = nowhere.
    corner: for each place that after going round a corner there. ends: whether the routine may end there.
    """

    def __init__(self, asked: Question, seed: int = 1) -> None:
        usable = list(asked.usable)
        self.figures = sorted({passage.figure for passage in usable})
        # Of ways that come to the same the first is danced: the seed decides which that is.
        order = np.random.default_rng(seed % 2**32).permutation(len(usable))
        usable = [usable[number] for number in order]
        lengths = [asked.beats, asked.corner_every, *(Fraction(passage.beats) for passage in usable)]
        self._unit = gcd(*(int(beats * TICKS_PER_BEAT) for beats in lengths if beats)) or 1
        self.length = None if asked.beats is None else self._units(asked.beats)
        self.every = self._units(asked.corner_every or 0)
        self._places: dict[Place, int] = {_place(asked.start, 0): 0}
        steps = self._steps(asked, usable)
        self.size = len(steps)
        self.ends = [asked.end is None or self._joins(asked, place, asked.end) for place in self._places]
        self.corner = [self._places.get(_cornered(place), 0) for place in self._places]
        self.runs = list(self._runs(asked, steps))
        self.leaving: list[list[Run]] = [[] for _ in range(self.size)]
        for run in self.runs:
            self.leaving[run.start].append(run)

    def _units(self, beats: int | Fraction) -> int:
        return int(beats * TICKS_PER_BEAT) // self._unit

    def _joins(self, asked: Question, place: Place, entry: Stance) -> bool:
        return joins(place[0], entry, floor=asked.floor, give=place[1])

    def _steps(self, asked: Question, usable: list[Passage]) -> list[list[tuple[Passage, int]]]:
        """For each place the passages that can be begun there, with the place each leads to."""
        steps: list[list[tuple[Passage, int]]] = []
        waiting = list(self._places)
        while len(steps) < len(waiting):
            here = waiting[len(steps)]
            fitting = [passage for passage in usable if self._joins(asked, here, passage.entry)]
            after = [_place(stance_after(here[0], passage), passage.give) for passage in fitting]
            steps.append(
                [
                    (passage, self._number(place, waiting))
                    for passage, place in zip(fitting, after, strict=True)
                ]
            )
            if asked.corner_every:
                for place in after:
                    self._number(_cornered(place), waiting)
        return steps

    def _number(self, place: Place, waiting: list[Place]) -> int:
        if place not in self._places:
            self._places[place] = len(waiting)
            waiting.append(place)
        return self._places[place]

    def has_corner(self, danced: int) -> bool:
        """Whether a corner may lie where so much was danced: never at the start or the end."""
        return bool(self.every) and danced % self.every == 0 and danced not in (0, self.length)

    def _runs(self, asked: Question, steps: list[list[tuple[Passage, int]]]) -> Iterator[Run]:
        numbers = {figure: number for number, figure in enumerate(self.figures)}
        for start, leaving in enumerate(steps):
            for figure in sorted({passage.figure for passage, _ in leaving}):
                rows = self._rows(start, figure, asked.row(figure), steps)
                for (end, length), passages in sorted(rows.items(), key=lambda row: row[0]):
                    yield Run(start, end, length, numbers[figure], passages)

    def _rows(
        self, start: int, figure: str, most: int | None, steps: list[list[tuple[Passage, int]]]
    ) -> dict[tuple[int, int], tuple[Passage, ...]]:
        """Where the figure, danced one or more times from there, leads to, and how long that takes."""
        found: dict[tuple[int, int], tuple[Passage, ...]] = {}
        newest: dict[tuple[int, int], tuple[Passage, ...]] = {(start, 0): ()}
        times = 0
        while newest and (most is None or times < most):
            longer: dict[tuple[int, int], tuple[Passage, ...]] = {}
            for (place, danced), passages in newest.items():
                for passage, end in steps[place]:
                    after = danced + self._units(passage.beats)
                    if self.length is None:
                        after = after % self.every if self.every else 0
                    reached = (end, after)
                    too_long = self.length is not None and after > self.length
                    if passage.figure == figure and not too_long and reached not in found:
                        longer.setdefault(reached, (*passages, passage))
            found.update(longer)
            newest, times = longer, times + 1
        return found


def _place(stance: Stance, give: int) -> Place:
    """Give says nothing where the place does not matter, and no turn is longer than half of one."""
    return stance, 0 if stance.place is None else min(give, 4)


def _cornered(place: Place) -> Place:
    return round_the_corner(place[0]), place[1]
