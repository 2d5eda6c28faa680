"""The best routine found so far, and what is proved of any: what both ways of composing write down."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from curriculum.rules.compose_net import Net, Run
from curriculum.rules.compose_reach import NO_FIGURE, Completions
from curriculum.rules.compose_values import NEVER, Composition, Cost, Question, Status
from curriculum.rules.stance import CORNER, RoutineItem

Turn = tuple[Run, bool]
"""A run of a routine, and whether a corner is gone round after it."""


class Best:
    """row, cost: the best so far, None and NEVER before the first. least: what no routine can cost less than,
    NEVER where there is none. Costs are one number here: a repeat costs `again`, which is more than all of
    the newest figures bring, and each of those that appears brings 1. required, newest: numbers of figures.
    """

    def __init__(self, net: Net, asked: Question) -> None:
        self.net = net
        self.required = frozenset(net.figures.index(figure) for figure in asked.required)
        self.newest = frozenset(number for number, figure in enumerate(net.figures) if figure in asked.newest)
        self.again = len(self.newest) + 1
        self.row: list[Turn] | None = None
        self.cost = NEVER
        self.least = -len(self.newest)

    @property
    def is_proved(self) -> bool:
        """Whether there is nothing better."""
        return self.least >= self.cost

    @property
    def is_impossible(self) -> bool:
        """Whether it is proved that there is no routine."""
        return self.least >= NEVER

    def take(self, row: list[Turn]) -> None:
        """Keep the row if it is better, or as good; all that is required is in it."""
        figures = {run.figure for run, _ in row}
        cost = (len(row) - len(figures)) * self.again - len(figures & self.newest)
        if cost <= self.cost:
            self.row, self.cost = row, cost

    def prove(self, least: int) -> None:
        """No routine costs less."""
        self.least = max(self.least, least)

    def answer(self) -> Composition:
        """What was asked for, where it is not proved that there is no such thing."""
        if self.row is None:
            return Composition("unknown")
        status: Status = "optimal" if self.is_proved else "feasible"
        least = min(self.least, self.cost)
        return Composition(status, tuple(_items(self.row)), self._both(self.cost), self._both(least))

    def _both(self, cost: int) -> Cost:
        """The one number as the two of the contract."""
        repeats = -(-cost // self.again)
        return repeats, cost - repeats * self.again


def take_any(best: Best, completions: Completions, chance: np.random.Generator) -> None:
    """Some routine, so that there is one whatever the time; or the proof that there is none."""
    if not completions.possible(0, 0, NO_FIGURE, completions.missing_at_start):
        best.prove(NEVER)
        return
    row = completions.any_row(chance)
    if best.required <= {run.figure for run, _ in row}:
        best.take(row)


def _items(row: list[Turn]) -> Iterator[RoutineItem]:
    for run, is_corner in row:
        yield from run.passages
        if is_corner:
            yield CORNER
