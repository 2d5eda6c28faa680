"""Why a term is impossible: the fewest demands that clash, none of which could be spared.

First the solver names a set of demands that can't hold together (its assumptions); then each is taken away
in turn, and stays away if the rest still clash. What is left is minimal: take any one away and the rest
can be met.
"""

from __future__ import annotations

import time
from dataclasses import replace

from ortools.sat.python import cp_model

from .term_check import check_plan
from .term_choice import choose
from .term_demands import demands, without_all
from .term_first import first_plans
from .term_history import standing
from .term_model import DemandName, TermModel
from .term_reach import reach
from .term_stage import reviews_matter, set_parameters
from .term_values import Reason, TermProblem
from .term_watch import Watch

# An explanation is worth waiting for even when the search has used up its time.
LEAST_SECONDS = 8.0
# Work (the solver's own count, about seconds) that one question may take, however busy the machine is.
MOST_WORK = 4.0

# Tried first for being spared: what the director chose least deliberately.
SPARED_FIRST = (
    "least_minutes", "least", "most", "apart", "together", "history", "need", "room", "required",
    "barred", "earliest", "latest", "pinned",
)  # fmt: skip


def without(problem: TermProblem, reason: Reason) -> TermProblem:
    """The problem with that one demand taken away."""
    return without_all(problem, (reason,))


def explain(watch: Watch) -> None:
    """Narrow `watch.conflict` of an impossible term down to a minimal one.

    A stop by the caller ends it early: the conflict is then one indeed, but may name more than it must.
    """
    _Conflict(watch).narrow()


class _Conflict:
    def __init__(self, watch: Watch) -> None:
        self.watch = watch
        self.deadline = time.monotonic() + max(LEAST_SECONDS, watch.seconds_left())
        self.problem = watch.courses[0].problem
        everything = demands(self.problem)
        watch.conflict = everything
        self.everything = everything

    def narrow(self) -> None:
        core = self._core()
        problem = self._keeping(core)
        if not self._clashes(problem, core):
            core, problem = self.everything, self.problem
        self._tell(core)
        spared = True
        while spared:
            spared = False
            for reason in sorted(core, key=lambda reason: SPARED_FIRST.index(reason.kind)):
                if self._is_late():
                    return
                smaller = without_all(problem, (reason,))
                rest = tuple(other for other in core if other != reason)
                if self._clashes(smaller, rest):
                    core, problem, spared = rest, smaller, True
                    self._tell(core)

    def _is_late(self) -> bool:
        return self.watch.stopped() or time.monotonic() >= self.deadline

    def _tell(self, core: tuple[Reason, ...]) -> None:
        self.watch.conflict = core

    def _keeping(self, core: tuple[Reason, ...]) -> TermProblem:
        kept = set(core)
        return without_all(self.problem, [reason for reason in self.everything if reason not in kept])

    def _core(self) -> tuple[Reason, ...]:
        """Demands that clash, by the solver's assumptions; what hangs on history is not assumed but kept."""
        problem = self.problem
        named = {(reason.kind, reason.keys, reason.lessons): reason for reason in self.everything}
        switches: dict[DemandName, cp_model.IntVar] = {}

        def switch(model: cp_model.CpModel, name: DemandName) -> cp_model.IntVar | None:
            if name not in named:
                return None
            return switches.setdefault(name, model.new_bool_var(""))

        with_reviews = reviews_matter(problem, ())
        term = TermModel(
            problem, standing(problem), None, with_reviews=with_reviews, needed_only=True, switch=switch
        )
        term.model.add_assumptions(list(switches.values()))
        solver = self._solver()
        if self.watch.solve(term.model, solver) != cp_model.INFEASIBLE:
            return self.everything
        core = set(solver.sufficient_assumptions_for_infeasibility())
        by_index = {variable.index: named[name] for name, variable in switches.items()}
        kept = {reason for index, reason in by_index.items() if index in core}
        return tuple(reason for reason in self.everything if reason in kept or reason.kind == "history")

    def _clashes(self, problem: TermProblem, rest: tuple[Reason, ...]) -> bool:
        """Whether it is proved that the problem, of which only these demands are left, can't be met."""
        state = standing(problem)
        possible = reach(problem, state)
        if not any(reason.kind in ("least", "least_minutes") for reason in rest):
            # Only a demand for more makes a figure matter that no demand names.
            asked = {key for reason in rest for key in reason.keys}
            lessons = {key: at if key in asked else () for key, at in possible.lessons.items()}
            possible = replace(possible, lessons=lessons)
        if choose(problem, state, possible, seed=1) is None:
            return True
        if any(not check_plan(problem, *plan) for plan in first_plans(problem, state, possible)):
            return False
        term = TermModel(problem, state, possible, with_reviews=reviews_matter(problem, ()), needed_only=True)
        return self.watch.solve(term.model, self._solver()) == cp_model.INFEASIBLE

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        set_parameters(solver, seed=1)
        solver.parameters.max_deterministic_time = MOST_WORK
        solver.parameters.max_time_in_seconds = max(0.01, self.deadline - time.monotonic())
        return solver
