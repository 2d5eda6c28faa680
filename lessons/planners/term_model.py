"""The term as a CP-SAT model: one choice for each figure's first lesson, and under it its reviews.

A review's variable hangs on the lesson of its figure's introduction, because a review variable that does
not know where its figure stands tells the linear relaxation almost nothing. Prerequisites are one
inequality a lesson for the same reason.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from ortools.sat.python import cp_model

from .term_history import Standing, dues_after, window
from .term_reach import Reach, groups_to_come, lessons_inside, needs_to_come
from .term_values import FigureToTeach, TermProblem

# A demand's name: (kind, keys, lessons). A switch gives the variable on which the demand hangs, or None.
DemandName = tuple[str, tuple[str, ...], tuple[int, ...]]
Switch = Callable[[cp_model.CpModel, DemandName], cp_model.IntVar | None]


class ReviewChoice(NamedTuple):
    """One way to place one review: which lesson, for which due lesson, if the figure ends in `last`."""

    key: str
    last: int
    due: int
    lesson: int
    chosen: cp_model.IntVar


class TermModel:
    """Variables and constraints of a term; aims are added by `term_objectives`.

    `needed_only`: leave out reviews that no demand asks for, where only the demands are to be met; `model`:
    one to add to, where several courses are planned together.

    `begins[key][lesson]`: whether the figure's first part stands there; `reviews`: all review choices;
    `load_terms[lesson]`: (variable, minutes) of what may fill the lesson, beside `load_fixed[lesson]`.
    """

    def __init__(
        self,
        problem: TermProblem,
        state: Standing,
        reach: Reach | None,
        *,
        with_reviews: bool,
        needed_only: bool = False,
        switch: Switch | None = None,
        model: cp_model.CpModel | None = None,
    ) -> None:
        self.problem, self.state, self.with_reviews = problem, state, with_reviews
        self.needed_only = needed_only
        self.model = model or cp_model.CpModel()
        self.begins: dict[str, dict[int, cp_model.IntVar]] = {}
        self._begun: dict[str, list[tuple[int, cp_model.IntVar]]] = {}
        self.reviews: list[ReviewChoice] = []
        self.late_terms: list[tuple[cp_model.IntVar, int]] = []
        self.load_terms: dict[int, list[tuple[cp_model.IntVar, int]]] = defaultdict(list)
        self.load_fixed = [0] * len(problem.lessons)
        self._switch = switch
        self._add_introductions(reach)
        for figure in state.to_come:
            self._add_own_demands(figure)
            self._add_needs(figure)
        self._add_sets()
        if with_reviews:
            self._add_reviews()
        self._add_lessons()

    def _demand(
        self,
        constraint: cp_model.Constraint,
        kind: str,
        keys: Iterable[str] = (),
        lessons: Iterable[int] = (),
    ) -> None:
        literal = self._switch and self._switch(self.model, (kind, tuple(keys), tuple(lessons)))
        if literal is not None:
            constraint.only_enforce_if(literal)

    def _add_introductions(self, reach: Reach | None) -> None:
        for key, minutes in self.state.finishing.items():
            self.load_fixed[self.state.first] += minutes
            self.begins[key] = {}
            self._begun[key] = []
        for figure in self.state.to_come:
            inside = lessons_inside(self.problem, self.state, figure)
            lessons = inside if reach is None else reach.lessons[figure.key]
            variables = {lesson: self.model.new_bool_var("") for lesson in lessons}
            self.begins[figure.key] = variables
            self.model.add_at_most_one(variables.values())
            self._begun[figure.key] = self._steps(variables)
            for lesson, begin in variables.items():
                for part, minutes in enumerate(figure.part_minutes()):
                    self.load_terms[lesson + part].append((begin, minutes))

    def _steps(self, variables: dict[int, cp_model.IntVar]) -> list[tuple[int, cp_model.IntVar]]:
        """(lesson, whether the figure has begun by then), each step one lesson more than the one before.

        Prerequisites and order speak of "by then": with these steps each of their inequalities has two or
        three variables, where sums would have as many as the term has lessons.
        """
        steps: list[tuple[int, cp_model.IntVar]] = []
        for lesson, begin in variables.items():
            begun = begin
            if steps:
                begun = self.model.new_bool_var("")
                self.model.add(steps[-1][1] + begin == begun)
            steps.append((lesson, begun))
        return steps

    def _add_own_demands(self, figure: FigureToTeach) -> None:
        key, begins = figure.key, self.begins[figure.key]
        if figure.required:
            self._demand(self.model.add_bool_or(list(begins.values())), "required", [key])
        if figure.pinned is not None:
            there = [begins[figure.pinned]] if figure.pinned in begins else []
            self._demand(self.model.add_bool_or(there), "pinned", [key], [figure.pinned])
        if figure.earliest is not None:
            early = [begin for lesson, begin in begins.items() if lesson < figure.earliest]
            self._forbid(early, "earliest", [key], [figure.earliest])
        if figure.latest is not None:
            late = [begin for lesson, begin in begins.items() if lesson > figure.latest]
            self._forbid(late, "latest", [key], [figure.latest])
        for lesson in sorted(figure.barred):
            self._forbid([begins[lesson]] if lesson in begins else [], "barred", [key], [lesson])

    def _forbid(
        self, variables: list[cp_model.IntVar], kind: str, keys: Iterable[str], lessons: Iterable[int] = ()
    ) -> None:
        if variables:
            self._demand(self.model.add(sum_of(variables) == 0), kind, keys, lessons)

    def _add_needs(self, figure: FigureToTeach) -> None:
        own = self.begins[figure.key]
        for same_lesson in (False, True):
            gap = 0 if same_lesson else 1
            for need in needs_to_come(figure, self.state, same_lesson=same_lesson):
                keys = [figure.key, need]
                if need in self.state.finishing:
                    soon = [begin for at, begin in own.items() if at < self.state.first + gap]
                    self._forbid(soon, "need", keys)
                    continue
                wait = self.state.parts[need] - 1 + gap
                for lesson in own:
                    # Where nothing new is ready by the next lesson, the next lesson's demand says more.
                    if lesson + 1 in own and lesson + 1 - wait not in self.begins[need]:
                        continue
                    not_yet = [~begun for begun in self.begun_by(figure.key, lesson)]
                    ready = self.begun_by(need, lesson - wait)
                    self._demand(self.model.add_bool_or([*not_yet, *ready]), "need", keys)

    def begun_by(self, key: str, lesson: int) -> list[cp_model.IntVar]:
        """Whether the figure begins in this lesson or before: one variable, none if it surely does not."""
        steps = self._begun[key]
        place = bisect_right(steps, lesson, key=itemgetter(0))
        return [steps[place - 1][1]] if place else []

    def _add_sets(self) -> None:
        for group in groups_to_come(self.problem.together, self.state):
            waiting = [key for key in group if key not in self.state.finishing]
            if len(waiting) < len(group):
                for key in waiting:
                    here = self._starts(key, self.state.first)
                    self._demand(self.model.add_bool_or(here), "together", group)
                continue
            for one, other in pairwise(group):
                for lesson in sorted(self.begins[one].keys() | self.begins[other].keys()):
                    first, second = (sum_of(self._starts(key, lesson)) for key in (one, other))
                    self._demand(self.model.add(first == second), "together", group)
        for group in groups_to_come(self.problem.apart, self.state):
            for lesson in range(self.state.first, len(self.problem.lessons)):
                present = [begin for key in group for begin in self._occupying(key, lesson)]
                fixed = sum(key in self.state.finishing for key in group) if lesson == self.state.first else 0
                if len(present) + fixed > 1:
                    self._demand(self.model.add(sum_of(present) + fixed <= 1), "apart", group)

    def _starts(self, key: str, lesson: int) -> list[cp_model.IntVar]:
        return [self.begins[key][lesson]] if lesson in self.begins[key] else []

    def _occupying(self, key: str, lesson: int) -> list[cp_model.IntVar]:
        parts = self.state.parts[key]
        return [begin for at, begin in self.begins[key].items() if at <= lesson < at + parts]

    def _add_reviews(self) -> None:
        for key, dues in self.state.dues.items():
            last = self.state.taught.get(key, self.state.first)
            self._add_reviews_after(self.problem.figures[self.state.place[key]], last, dues, None)
        for figure in self.state.to_come:
            for lesson, begin in self.begins[figure.key].items():
                last = lesson + figure.parts - 1
                self._add_reviews_after(figure, last, dues_after(self.problem, figure, last), begin)

    def _add_reviews_after(
        self, figure: FigureToTeach, last: int, dues: tuple[int, ...], begin: cp_model.IntVar | None
    ) -> None:
        """The reviews that follow if the figure ends in lesson `last` (`begin` is None: it surely does)."""
        missed = self.problem.review_slack + 1
        here: int | cp_model.IntVar = 1 if begin is None else begin
        rows: list[dict[int, cp_model.IntVar]] = []
        for due in dues:
            row = {}
            lessons = window(self.problem, due, last, self.state.first)
            if self.needed_only and not self._is_needed(figure, lessons):
                continue
            for lesson in lessons:
                chosen = self.model.new_bool_var("")
                row[lesson] = chosen
                self.reviews.append(ReviewChoice(figure.key, last, due, lesson, chosen))
                self.late_terms.append((chosen, abs(lesson - due)))
                self.load_terms[lesson].append((chosen, figure.review_minutes))
            # Unplaced is a choice of its own: a bound on lateness then rules costly choices out one by one.
            unplaced = self.model.new_bool_var("")
            self.late_terms.append((unplaced, missed))
            self.model.add(sum_of([*row.values(), unplaced]) == here)
            rows.append(row)
        self._keep_in_order(rows, here)
        least = min(figure.least_reviews, len(dues))
        if least:
            placed = sum_of(chosen for row in rows for chosen in row.values())
            self._demand(self.model.add(placed >= least * here), "least", [figure.key])

    def _is_needed(self, figure: FigureToTeach, lessons: Iterable[int]) -> bool:
        """Whether a review in one of these lessons may help to meet a demand."""
        return figure.least_reviews > 0 or any(self.problem.lessons[at].min_minutes for at in lessons)

    def _keep_in_order(self, rows: list[dict[int, cp_model.IntVar]], here: int | cp_model.IntVar) -> None:
        """Of two reviews of a figure the one due first lies in an earlier lesson."""
        for index, row in enumerate(rows):
            for later in rows[index + 1 :]:
                for lesson in sorted(row.keys() & later.keys()):
                    clash = [chosen for at, chosen in row.items() if at >= lesson]
                    clash += [chosen for at, chosen in later.items() if at <= lesson]
                    self.model.add(sum_of(clash) <= here)

    def load(self, lesson: int) -> cp_model.LinearExprT:
        """Minutes in a lesson to come."""
        terms = self.load_terms[lesson]
        fixed = self.load_fixed[lesson]
        return cp_model.LinearExpr.weighted_sum([v for v, _ in terms], [m for _, m in terms]) + fixed

    def _add_lessons(self) -> None:
        for lesson in self.problem.lessons[self.state.first :]:
            at = lesson.index
            new = [begins[at] for begins in self.begins.values() if at in begins]
            load = self.load(at)
            most = sum(minutes for _, minutes in self.load_terms[at]) + self.load_fixed[at]
            if most > lesson.minutes:
                self._demand(self._bounded(load, most=lesson.minutes), "room", (), [at])
            if lesson.min_minutes:
                self._demand(self._bounded(load, least=lesson.min_minutes), "least_minutes", (), [at])
            if len(new) > lesson.max_new:
                self._demand(self.model.add(sum_of(new) <= lesson.max_new), "most", (), [at])
            if lesson.min_new:
                self._demand(self.model.add(sum_of(new) >= lesson.min_new), "least", (), [at])

    def _bounded(
        self, load: cp_model.LinearExprT, least: int | None = None, most: int | None = None
    ) -> cp_model.Constraint:
        low = cp_model.INT32_MIN if least is None else least
        high = cp_model.INT32_MAX if most is None else most
        return self.model.add_linear_constraint(load, low, high)


def sum_of(variables: Iterable[cp_model.IntVar]) -> cp_model.LinearExprT:
    """The sum of the variables; 0 for none."""
    return cp_model.LinearExpr.sum(list(variables))
