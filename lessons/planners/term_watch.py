"""What the search and its caller share: the clock, the wish to stop, the best plan and the bounds so far."""

from __future__ import annotations

import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from .term_aims import IN_STEP, measure, out_of_step
from .term_history import Standing
from .term_problem import all_ranks
from .term_values import Aim, Progress, Reason, Review, TermProblem


@dataclass(frozen=True)
class Candidate:
    """A plan and the value of each aim."""

    introductions: dict[str, int]
    reviews: tuple[Review, ...]
    values: dict[str, int]


class Watch:
    """Written by the search's thread, read by the caller's. Bounds start at 0, below which no aim can be.

    `steps`: introductions of courses to keep in step with; `ranks`: the aims told; `stages`: the aims
    settled one after the other, keeping in step among them where it is wished for.
    """

    def __init__(
        self,
        problem: TermProblem,
        state: Standing,
        seconds: float,
        steps: Sequence[Mapping[str, int]] = (),
    ) -> None:
        self.problem, self.state, self.steps = problem, state, tuple(steps)
        self.ranks = all_ranks(problem)
        self.stages = self.ranks
        if self.steps:
            above = max(self.ranks.index("left_out"), self.ranks.index("moved")) + 1
            self.stages = (*self.ranks[:above], IN_STEP, *self.ranks[above:])
        self.started = time.monotonic()
        self.deadline = self.started + seconds
        self.best: Candidate | None = None
        self.bounds = dict.fromkeys(self.stages, 0)
        self.conflict: tuple[Reason, ...] | None = None
        self._stop = threading.Event()
        self._lock = threading.Lock()
        self._solver: cp_model.CpSolver | None = None

    def offer(self, introductions: dict[str, int], reviews: tuple[Review, ...]) -> None:
        """Keep the plan if it is better, aim by aim in rank, than the best so far."""
        values = measure(self.problem, self.state, introductions, reviews)
        values[IN_STEP] = out_of_step(self.state, self.steps, introductions)
        with self._lock:
            if self.best is None or self._rank(values) < self._rank(self.best.values):
                self.best = Candidate(introductions, reviews, values)

    def _rank(self, values: dict[str, int]) -> tuple[int, ...]:
        return tuple(values[aim] for aim in self.stages)

    def raise_bound(self, aim: str, bound: int) -> None:
        """A bound once proved stays: later solves of the same aim ask under the same demands."""
        with self._lock:
            self.bounds[aim] = max(self.bounds[aim], bound)

    def proven(self, aim: str) -> bool:
        """Whether the best plan's value of the aim cannot be lower."""
        return self.best is not None and self.best.values[aim] <= self.bounds[aim]

    def outcome(self) -> tuple[Candidate | None, tuple[Aim, ...]]:
        """The best plan and its five aims in rank; no aims before there is a plan."""
        with self._lock:
            if self.best is None:
                return None, ()
            values = self.best.values
            told = (Aim(aim, values[aim], min(self.bounds[aim], values[aim])) for aim in self.ranks)
            return self.best, tuple(told)

    def progress(self) -> Progress:
        return Progress(self.outcome()[1], time.monotonic() - self.started)

    def seconds_left(self) -> float:
        return max(0.0, self.deadline - time.monotonic())

    def over(self) -> bool:
        """Whether the search has to end now."""
        return self._stop.is_set() or self.seconds_left() <= 0.0

    def stopped(self) -> bool:
        return self._stop.is_set()

    def stop(self) -> None:
        """End the search; called again it reaches a solver that had not begun the first time."""
        self._stop.set()
        with self._lock:
            if self._solver is not None:
                self._solver.stop_search()

    def solve(
        self,
        model: cp_model.CpModel,
        solver: cp_model.CpSolver,
        callback: cp_model.CpSolverSolutionCallback | None = None,
    ) -> int:
        """Solve so that `stop` reaches the solver; `UNKNOWN` if the search is already over."""
        with self._lock:
            if self._stop.is_set():
                return int(cp_model.UNKNOWN)
            self._solver = solver
        try:
            return int(solver.solve(model, callback))
        finally:
            with self._lock:
                self._solver = None
