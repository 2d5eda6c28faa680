"""What the search and its caller share: the clock, the wish to stop, the best plan and the bounds so far."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model
from ortools.util.python.solve_interrupter import SolveInterrupter

from .term_aims import IN_STEP, measure, out_of_step
from .term_history import Standing
from .term_problem import all_ranks
from .term_relaxed import relaxed_bound
from .term_values import Aim, Progress, Reason, Review, TermProblem

# Aims above another with the values they were held at most at.
Given = tuple[tuple[str, int], ...]
Stoppable = Callable[[], object]


@dataclass(frozen=True)
class Course:
    """What is planned, and where it stands."""

    problem: TermProblem
    state: Standing


@dataclass(frozen=True)
class Plan:
    """One course's plan."""

    introductions: dict[str, int]
    reviews: tuple[Review, ...]


@dataclass(frozen=True)
class Candidate:
    """A plan of every course, the value of each aim of each, and of each aim over all of them together."""

    plans: tuple[Plan, ...]
    each: tuple[dict[str, int], ...]
    values: dict[str, int]


class Watch:
    """Written by the threads that search, read by the caller's.

    `courses`: most often one; several where they are to be kept in step, as `ties` (pairs of places) say.
    Their aims are added up, ranked as the first of them ranks its own. `ranks`: the aims told; `stages`: the
    aims settled one after the other, keeping in step among them where it is wished for.

    Bounds start at 0, below which no aim can be. One proved while aims above were held at most at some
    values says nothing once a better plan lets one of them rise above that: each is kept with what it was
    given, and counts where that still holds.
    """

    def __init__(
        self, courses: Sequence[Course], seconds: float, ties: Sequence[tuple[int, int]] = ()
    ) -> None:
        self.courses, self.ties = tuple(courses), tuple(ties)
        self.ranks = all_ranks(self.courses[0].problem)
        self.stages = self.ranks
        if self.ties:
            above = max(self.ranks.index("left_out"), self.ranks.index("moved")) + 1
            self.stages = (*self.ranks[:above], IN_STEP, *self.ranks[above:])
        self.started = time.monotonic()
        self.deadline = self.started + seconds
        self.best: Candidate | None = None
        self.conflict: tuple[Reason, ...] | None = None
        self._bounds: dict[str, dict[Given, int]] = {aim: {(): 0} for aim in self.stages}
        self._settling: str | None = None
        self._stop = threading.Event()
        self._lock = threading.RLock()
        self._running: list[Stoppable] = []

    def weigh(self, plans: Sequence[Plan]) -> Candidate:
        """The plans with what they come to."""
        each = tuple(
            measure(course.problem, course.state, plan.introductions, plan.reviews)
            for course, plan in zip(self.courses, plans, strict=True)
        )
        values = {aim: sum(own[aim] for own in each) for aim in self.ranks}
        values[IN_STEP] = sum(
            out_of_step(
                [self.courses[place].state for place in tie], [plans[place].introductions for place in tie]
            )
            for tie in self.ties
        )
        return Candidate(tuple(plans), each, values)

    def offer(self, plans: Sequence[Plan], *, through: str | None = None) -> Candidate:
        """Keep the plans if they are better, aim by aim in rank, than the best so far; say what they come to.

        `through`: compare only the aims down to this one. While an aim is settled the plan then changes only
        for a better value of it, so that the same plan is kept however soon another thread proves it.
        """
        candidate = self.weigh(plans)
        aims = self.stages if through is None else self.stages[: self.stages.index(through) + 1]
        with self._lock:
            if self.best is None or _rank(candidate.values, aims) < _rank(self.best.values, aims):
                self.best = candidate
                self._end_if_settled()
        return candidate

    def given_above(self, aim: str) -> Given:
        """The aims above this one with their values in the best plan: what a bound on it is proved under."""
        if self.best is None:
            return ()
        above = self.stages[: self.stages.index(aim)]
        return tuple((other, self.best.values[other]) for other in above)

    def raise_bound(self, aim: str, bound: int, given: Given = ()) -> None:
        """No plan whose aims are at most as `given` comes lower than `bound`."""
        with self._lock:
            known = self._bounds[aim]
            known[given] = max(known.get(given, 0), bound)
            self._end_if_settled()

    def bound(self, aim: str) -> int:
        """The best bound that holds for the best plan so far."""
        with self._lock:
            values = self.best.values if self.best else {}
            return max(
                bound
                for given, bound in self._bounds[aim].items()
                if all(other in values and values[other] <= most for other, most in given)
            )

    def proven(self, aim: str) -> bool:
        """Whether the best plan's value of the aim cannot be lower."""
        with self._lock:
            return self.best is not None and self.best.values[aim] <= self.bound(aim)

    def outcome(self, place: int = 0) -> tuple[Plan | None, tuple[Aim, ...]]:
        """The best plan of a course and its five aims in rank; no aims before there is a plan.

        The bound of one of several courses is what the bound of all leaves it beside the others' values.
        """
        with self._lock:
            best = self.best
            if best is None:
                return None, ()
            own, told = best.each[place], []
            for aim in self.ranks:
                others = best.values[aim] - own[aim]
                told.append(Aim(aim, own[aim], min(own[aim], max(0, self.bound(aim) - others))))
            return best.plans[place], tuple(told)

    def progress(self, place: int = 0) -> Progress:
        return Progress(self.outcome(place)[1], time.monotonic() - self.started)

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
        self._end_solvers()

    def settle(self, aim: str | None) -> None:
        """From now on this aim is settled: once it is proved, running solvers end."""
        with self._lock:
            self._settling = aim

    def solve(
        self,
        model: cp_model.CpModel,
        solver: cp_model.CpSolver,
        callback: cp_model.CpSolverSolutionCallback | None = None,
        left: threading.Event | None = None,
    ) -> int:
        """Solve so that `stop`, and the proof of the aim being settled, reach the solver; `UNKNOWN` if the
        search is already over, or whoever asks has `left` meanwhile."""
        ending = solver.stop_search
        with self._lock:
            if self._stop.is_set() or (left is not None and left.is_set()):
                return int(cp_model.UNKNOWN)
            self._running.append(ending)
        try:
            return int(solver.solve(model, callback))
        finally:
            with self._lock:
                self._running.remove(ending)

    def relaxed_bound(
        self,
        model: cp_model.CpModel,
        interrupter: SolveInterrupter | None = None,
        left: threading.Event | None = None,
    ) -> int | None:
        """The bound of the model's relaxation; None where the search ends, or who asks has `left`, before."""
        interrupter = interrupter or SolveInterrupter()
        with self._lock:
            if self.over() or (left is not None and left.is_set()):
                return None
            self._running.append(interrupter.interrupt)
        try:
            return relaxed_bound(model, seconds=self.seconds_left(), interrupter=interrupter)
        finally:
            with self._lock:
                self._running.remove(interrupter.interrupt)

    def _end_if_settled(self) -> None:
        if self._settling is not None and self.proven(self._settling):
            self._end_solvers()

    def _end_solvers(self) -> None:
        with self._lock:
            for ending in self._running:
                ending()


def _rank(values: Mapping[str, int], aims: Sequence[str]) -> tuple[int, ...]:
    return tuple(values[aim] for aim in aims)
