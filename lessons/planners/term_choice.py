"""Which figures there is room for at all: the term without its calendar.

A figure is taught or not; what it needs is taught too; the lessons together have so many minutes and take so
many new figures, and so have the lessons from a date on and those up to a date. Whatever no such choice can
do no plan can do: so it gives a bound on what is left out within milliseconds, and often the very choice
that a plan then carries out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from .term_history import Standing
from .term_reach import Reach, groups_to_come, needs_to_come
from .term_values import FigureToTeach, TermProblem

# By the solver's own count of work, so that it repeats exactly; a few hundredths were seen.
MOST_WORK = 1.0


@dataclass(frozen=True)
class Choice:
    """`left_out`: no plan leaves out less; `keys`: a choice of figures that comes to it, if one was found."""

    left_out: int
    keys: frozenset[str] | None


def choose(problem: TermProblem, state: Standing, reach: Reach, *, seed: int) -> Choice | None:
    """The best choice of figures; None if it is proved that there is none, and so no plan."""
    room = _Room(problem, state, reach)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = MOST_WORK
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(room.model)
    if status == cp_model.INFEASIBLE:
        return None
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Choice(0, None)
    keys = frozenset(key for key, taught in room.taught.items() if solver.boolean_value(taught))
    return Choice(round(solver.best_objective_bound), keys if status == cp_model.OPTIMAL else None)


class _Room:
    """The choice as a model: one variable a figure to come."""

    def __init__(self, problem: TermProblem, state: Standing, reach: Reach) -> None:
        self.problem, self.state, self.reach = problem, state, reach
        self.model = cp_model.CpModel()
        self.taught = {figure.key: self.model.new_bool_var("") for figure in state.to_come}
        self._add_demands()
        self._add_room()
        left_out = [figure.importance * (1 - self.taught[figure.key]) for figure in state.to_come]
        self.model.minimize(cp_model.LinearExpr.sum(left_out))

    def _add_demands(self) -> None:
        for figure in self.state.to_come:
            taught = self.taught[figure.key]
            if figure.key in self.reach.must:
                self.model.add(taught == 1)
            if not self.reach.lessons[figure.key]:
                self.model.add(taught == 0)
            for same_lesson in (False, True):
                for need in needs_to_come(figure, self.state, same_lesson=same_lesson):
                    if need in self.taught:
                        self.model.add_implication(taught, self.taught[need])
        for group in groups_to_come(self.problem.together, self.state):
            first, *others = (self.taught[key] for key in group if key in self.taught)
            for other in others:
                self.model.add(first == other)

    def _add_room(self) -> None:
        """Of the figures that must lie wholly in a stretch of lessons no more than the stretch holds."""
        first, count = self.state.first, len(self.problem.lessons)
        possible = [figure for figure in self.state.to_come if self.reach.lessons[figure.key]]
        for lesson in range(first, count):
            late = [figure for figure in possible if self.reach.lessons[figure.key][0] >= lesson]
            self._hold(late, range(lesson, count), late)
            early = [figure for figure in possible if self.reach.lessons[figure.key][-1] <= lesson]
            within = [f for f in early if self.reach.lessons[f.key][-1] + f.parts - 1 <= lesson]
            self._hold(early, range(first, lesson + 1), within)

    def _hold(self, begin: Iterable[FigureToTeach], lessons: range, within: Iterable[FigureToTeach]) -> None:
        slots = [self.problem.lessons[lesson] for lesson in lessons]
        finishing = sum(self.state.finishing.values()) if self.state.first in lessons else 0
        minutes = sum(slot.minutes for slot in slots) - finishing
        self._at_most([(self.taught[figure.key], 1) for figure in begin], sum(slot.max_new for slot in slots))
        self._at_most([(self.taught[figure.key], figure.minutes) for figure in within], minutes)
        # A figure of one part lies where something new may begin.
        open_minutes = sum(slot.minutes for slot in slots if slot.max_new)
        whole = [(self.taught[figure.key], figure.minutes) for figure in within if figure.parts == 1]
        self._at_most(whole, open_minutes)

    def _at_most(self, terms: list[tuple[cp_model.IntVar, int]], most: int) -> None:
        if sum(weight for _, weight in terms) > most:
            variables, weights = [variable for variable, _ in terms], [weight for _, weight in terms]
            self.model.add(cp_model.LinearExpr.weighted_sum(variables, weights) <= most)
