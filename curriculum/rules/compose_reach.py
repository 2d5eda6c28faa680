"""Can it be danced to the end from here, meeting what is still missing? Exact, with joins and rows.

A set of required figures is a number, one bit for each. A set of such sets is a number again, one bit for
each set: so one shift and one "or" carry all of them through a run at once.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from curriculum.rules.compose_net import Net, Run

NO_FIGURE: Final = -1
"""Stands for the figure danced last where nothing was danced yet."""
MOST_FIGURES: Final = 14
"""Required figures that are looked at together; of more the others are left out of the question here."""
_END: Final = -2
"""Stands for the figure danced first where nothing is danced any more."""


def _sets_without(bit: int, bits: int) -> int:
    """All sets of `bits` figures that lack one: 2 ** bit sets without it, as many with it, and so on."""
    block = (1 << (1 << bit)) - 1
    pattern = 0
    for first in range(0, 1 << bits, 2 << bit):
        pattern |= block << first
    return pattern


class _Ahead:
    """What can be met from one place after one length: for the figure danced first, the sets of figures."""

    __slots__ = ("by_first", "everything")

    def __init__(self) -> None:
        self.by_first: dict[int, int] = {}
        self.everything = 0

    def add(self, first: int, sets: int) -> None:
        self.by_first[first] = self.by_first.get(first, 0) | sets
        self.everything |= sets

    def without(self, figure: int) -> int:
        """What can be met without dancing that figure first, for it was danced last."""
        if figure not in self.by_first:
            return self.everything
        sets = 0
        for first, met in self.by_first.items():
            if first != figure:
                sets |= met
        return sets


class Completions:
    """For every length danced and every place: which required figures can still be met to the end.

    required: numbers of figures, each of which is one bit of the sets, in that order. Of more than
    MOST_FIGURES the rest is passed over: what is impossible stays so, what is possible may not be.
    """

    def __init__(self, net: Net, required: Sequence[int]) -> None:
        if net.length is None:
            raise ValueError("A routine of any length has no end to count from.")
        required = required[:MOST_FIGURES]
        self.net = net
        self.bits = {figure: 1 << bit for bit, figure in enumerate(required)}
        self._shift = {figure: 1 << bit for bit, figure in enumerate(required)}
        self._missing_not = {figure: _sets_without(bit, len(required)) for bit, figure in enumerate(required)}
        self.missing_at_start = (1 << len(required)) - 1
        self._ahead: list[list[_Ahead]] = [[_Ahead() for _ in range(net.size)] for _ in range(net.length + 1)]
        for place in range(net.size):
            if net.ends[place]:
                self._ahead[net.length][place].add(_END, 1)
        for danced in range(net.length - 1, -1, -1):
            self._step_back(danced, net.length)

    def _step_back(self, danced: int, length: int) -> None:
        for run in self.net.runs:
            after = danced + run.length
            if after > length:
                continue
            met = self.met(after, run.end, run.figure)
            if met:
                self._ahead[danced][run.start].add(run.figure, self._through(met, run.figure))

    def _through(self, met: int, figure: int) -> int:
        """The sets that can be met where this figure is danced first and `met` from there on."""
        if figure not in self.bits:
            return met
        needed = met & self._missing_not[figure]
        return needed | (needed << self._shift[figure])

    def met(self, danced: int, place: int, last: int) -> int:
        """Every set of required figures that can be met from there on, where `last` was danced last."""
        met = self._ahead[danced][place].without(last)
        if self.net.has_corner(danced):
            met |= self._ahead[danced][self.net.corner[place]].without(last)
        return met

    def possible(self, danced: int, place: int, last: int, missing: int) -> bool:
        """Whether the routine can be danced to its end from there, with all that is missing.

        A corner is not gone round there any more.
        """
        return bool(self._ahead[danced][place].without(last) >> missing & 1)

    def any_row(self, chance: np.random.Generator) -> list[tuple[Run, bool]]:
        """A routine by chance, figures not danced yet preferred: its runs, and whether a corner follows.

        Only where a routine is possible from the start.
        """
        row: list[tuple[Run, bool]] = []
        danced = place = 0
        last, missing, seen = NO_FIGURE, self.missing_at_start, {NO_FIGURE}
        while danced != self.net.length:
            choices = [
                (run, corner)
                for run, corner in self._onward(danced, place)
                if run.figure != last and self._ends_well(danced, run, corner, missing)
            ]
            fresh = [choice for choice in choices if choice[0].figure not in seen] or choices
            run, corner = fresh[int(chance.integers(len(fresh)))]
            row.append((run, corner))
            place = self.net.corner[run.end] if corner else run.end
            danced, last = danced + run.length, run.figure
            missing &= ~self.bits.get(last, 0)
            seen.add(last)
        return row

    def _onward(self, danced: int, place: int) -> Iterator[tuple[Run, bool]]:
        for run in self.net.leaving[place]:
            if danced + run.length <= (self.net.length or 0):
                yield run, False
                if self.net.has_corner(danced + run.length):
                    yield run, True

    def _ends_well(self, danced: int, run: Run, corner: bool, missing: int) -> bool:
        place = self.net.corner[run.end] if corner else run.end
        missing &= ~self.bits.get(run.figure, 0)
        return self.possible(danced + run.length, place, run.figure, missing)


def of_any_length(net: Net, required: Sequence[int]) -> bool:
    """Whether a routine of whatever length meets all that is required and ends where it may."""
    required = required[:MOST_FIGURES]
    everything = 1 << ((1 << len(required)) - 1)
    bits = {figure: bit for bit, figure in enumerate(required)}
    masks = {figure: _sets_without(bit, len(required)) for figure, bit in bits.items()}
    if net.ends[0] and not required:
        return True
    # Where the couple stands, what it danced last, how far it is from the last corner -> sets danced so far.
    reached: dict[tuple[int, int, int], int] = {(0, NO_FIGURE, 0): 1}
    waiting = deque(reached)
    while waiting:
        place, last, danced = waiting.popleft()
        for run in net.leaving[place]:
            if run.figure == last:
                continue
            sets = reached[place, last, danced]
            if run.figure in bits:
                without = sets & masks[run.figure]
                sets = (sets ^ without) | (without << (1 << bits[run.figure]))
            if net.ends[run.end] and sets & everything:
                return True
            length = (danced + run.length) % net.every if net.every else 0
            at_corner = bool(net.every) and not length
            for end in {run.end, net.corner[run.end]} if at_corner else {run.end}:
                there = (end, run.figure, length)
                if sets | reached.get(there, 0) != reached.get(there, 0):
                    reached[there] = reached.get(there, 0) | sets
                    waiting.append(there)
    return False
