"""A second thread that proves bounds while the first looks for plans.

It only ever raises bounds. So the plans found, and which of them is kept, do not depend on how far it has
come: it ends a search sooner, with the same plan.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from types import TracebackType

from ortools.sat.python import cp_model
from ortools.util.python.solve_interrupter import SolveInterrupter

from .term_reach import Reach
from .term_relaxed import whole
from .term_stage import Stage, set_parameters, stage_model
from .term_threads import begin
from .term_watch import Given, Watch

# Most aims are settled sooner than a second model is built.
DELAY_SECONDS = 0.2
# How long the search waits for it to put down its work before it goes on without.
LEAVE_SECONDS = 0.5


class Prover:
    """Proves bounds on the aim, and first ones on the aims below, until the `with` block is left.

    `searches`: whether to search after the relaxation, which is hopeless on the largest terms.
    """

    def __init__(
        self, watch: Watch, reaches: Sequence[Reach], aim: str, seed: int, *, searches: bool
    ) -> None:
        self.watch, self.reaches, self.aim, self.seed, self.searches = watch, reaches, aim, seed, searches
        self._left = threading.Event()
        self._error: Exception | None = None
        self._solver = cp_model.CpSolver()
        self._interrupter = SolveInterrupter()

    def __enter__(self) -> Prover:
        self._thread = begin(self._run, "term-prover")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._left.set()
        waited = 0.0
        while self._thread.is_alive() and waited < LEAVE_SECONDS:
            self._interrupter.interrupt()
            self._solver.stop_search()
            self._thread.join(0.02)
            waited += 0.02
        if error is None and self._error is not None:
            raise self._error

    def _run(self) -> None:
        try:
            self._prove()
        except Exception as error:  # raised in the thread that searches
            self._error = error

    def _prove(self) -> None:
        if self._left.wait(DELAY_SECONDS):
            return
        given = self.watch.given_above(self.aim)
        stage = stage_model(self.watch, self.reaches, self.aim, given)
        self._relax(stage, self.aim, given)
        below = self.watch.stages[self.watch.stages.index(self.aim) + 1 :]
        for other in below:
            if not self._done() and self.watch.bound(other) == 0 and not self.watch.proven(other):
                self._relax(stage_model(self.watch, self.reaches, other, given), other, given)
        if self.searches and not self._done():
            self._search(stage, given)

    def _done(self) -> bool:
        return self._left.is_set() or self.watch.over() or self.watch.proven(self.aim)

    def _relax(self, stage: Stage, aim: str, given: Given) -> None:
        if not self._done():
            bound = self.watch.relaxed_bound(stage.model, self._interrupter, left=self._left)
            if bound is not None:
                self.watch.raise_bound(aim, bound, given)

    def _search(self, stage: Stage, given: Given) -> None:
        """Search from below: slow to find a plan, and the quickest to raise a bound.

        On a term of 24 x 10 it proved an order of 8 in 10 s where the usual search stood at 4 after 7 s.
        """
        set_parameters(self._solver, self.seed)
        self._solver.parameters.optimize_with_lb_tree_search = True
        self._solver.parameters.max_time_in_seconds = self.watch.seconds_left()
        self._solver.best_bound_callback = lambda bound: self.watch.raise_bound(self.aim, whole(bound), given)
        status = self.watch.solve(stage.model, self._solver, left=self._left)
        if status == cp_model.OPTIMAL:
            self.watch.raise_bound(self.aim, whole(self._solver.best_objective_bound), given)
