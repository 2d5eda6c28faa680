"""The search: a first plan at once, then one aim after the other, each settled before the next.

Aims in whose settling reviews play no part are settled on a model without them, which is far smaller and
loses nothing: any plan of introductions is sound with no review placed.
"""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from .term_aims import last_part
from .term_check import check_plan
from .term_first import first_plans, place_reviews
from .term_history import Standing
from .term_model import TermModel
from .term_objectives import aim_expression
from .term_reach import Reach, reach
from .term_values import Review, TermProblem
from .term_watch import Watch

# Some terms' peak and order are proved sooner without cutting planes, tight ones only with them: so first a
# short attempt without, measured by the solver's own count of work (about a second) and not by the clock.
PLAIN_ATTEMPT = 1.0
# Of the time left, how much an aim may take while others are open; the last may take all.
SHARE_OF_TIME = 0.55


class ImpossibleTermError(Exception):
    """No plan meets every demand."""


def search(watch: Watch, *, seed: int) -> None:
    """Leave the best plan and its bounds in `watch`; raise an error if it is proved impossible."""
    problem, state = watch.problem, watch.state
    possible = reach(problem, state)
    for introductions, reviews in first_plans(problem, state, possible):
        if not check_plan(problem, introductions, reviews):
            watch.offer(introductions, reviews)
        if watch.over():
            return
    stages = _Stages(watch, possible, seed)
    while not all(watch.proven(aim) for aim in watch.stages):
        # What is left of the time when every aim had its turn goes to those still open, again in rank.
        stages.forget()
        for place in range(len(watch.stages)):
            if watch.over():
                return
            stages.settle(place)


class _Stages:
    def __init__(self, watch: Watch, possible: Reach, seed: int) -> None:
        self.watch, self.possible, self.seed = watch, possible, seed
        self.forget()

    def forget(self) -> None:
        """Begin with a fresh model, in which no aim is kept yet."""
        self.term: TermModel | None = None
        self.kept: set[str] = set()
        self.expressions: dict[str, cp_model.LinearExprT] = {}

    def settle(self, place: int) -> None:
        """Bring the aim at this place of the ranking as low as the aims above it allow."""
        watch, aim = self.watch, self.watch.stages[place]
        if watch.proven(aim):
            return
        term = self._model_for(place)
        term.model.minimize(self._expression(aim))
        others = any(not watch.proven(other) for other in watch.stages[place + 1 :])
        until = watch.seconds_left() * (1.0 - SHARE_OF_TIME if others else 0.0)
        for solver in self._attempts(term, aim):
            _hint(term, watch)
            solver.parameters.max_time_in_seconds = max(0.0, watch.seconds_left() - until)
            self._solve(term, aim, solver)
            if watch.over() or watch.proven(aim):
                return

    def _solve(self, term: TermModel, aim: str, solver: cp_model.CpSolver) -> None:
        watch = self.watch
        solver.best_bound_callback = lambda bound: watch.raise_bound(aim, _whole(bound))
        status = watch.solve(term.model, solver, _Found(term, watch))
        if status == cp_model.INFEASIBLE:
            if watch.best is not None:
                raise RuntimeError("The solver calls a term impossible for which there is a plan.")
            raise ImpossibleTermError
        if status == cp_model.MODEL_INVALID:
            raise RuntimeError(f"The term's model is not valid: {term.model.validate()}")
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            watch.raise_bound(aim, _whole(solver.best_objective_bound))

    def _model_for(self, place: int) -> TermModel:
        """The model with the aims above kept at their values."""
        watch = self.watch
        with_reviews = reviews_matter(watch.problem, watch.stages[: place + 1])
        if self.term is None or self.term.with_reviews != with_reviews:
            self.forget()
            self.term = TermModel(watch.problem, watch.state, self.possible, with_reviews=with_reviews)
        if watch.best is not None:
            for aim in watch.stages[:place]:
                if aim not in self.kept:
                    value = watch.best.values[aim]
                    self.term.model.add_linear_constraint(self._expression(aim), 0, value)
                    self.kept.add(aim)
        return self.term

    def _expression(self, aim: str) -> cp_model.LinearExprT:
        assert self.term is not None  # noqa: S101
        if aim not in self.expressions:
            self.expressions[aim] = aim_expression(self.term, aim, self.watch.steps)
        return self.expressions[aim]

    def _attempts(self, term: TermModel, aim: str) -> list[cp_model.CpSolver]:
        """Ways to settle the aim, tried in turn; each but the last ends by a limit that repeats exactly."""
        solver = cp_model.CpSolver()
        set_parameters(solver, self.seed)
        if aim not in ("peak", "order"):
            return [solver]
        plain = cp_model.CpSolver()
        set_parameters(plain, self.seed)
        plain.parameters.cut_level = 0
        if not term.reviews:
            # Measured on the published curriculum instances: without reviews the less relaxation the better;
            # order needs none at all, the fullest lesson is never proved without some.
            plain.parameters.linearization_level = 0 if aim == "order" else 1
            return [plain]
        plain.parameters.max_deterministic_time = PLAIN_ATTEMPT
        return [plain, solver]


def set_parameters(solver: cp_model.CpSolver, seed: int) -> None:
    """One worker: it repeats itself exactly, and on terms with reviews it proves sooner than two together.

    Measured on five generated terms of 14 x 10 to 24 x 10: two workers that take turns took 2 to 14 times as
    long; two that run freely gave a bound of 8 where one gave 22, on a term of 40 x 16 in the same time.
    """
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = seed
    parameters.linearization_level = 2
    parameters.symmetry_level = 0
    parameters.catch_sigint_signal = False


def reviews_matter(problem: TermProblem, aims: tuple[str, ...]) -> bool:
    """Whether reviews can change how low these aims come, or whether there is a plan at all."""
    return (
        "late_reviews" in aims
        or any(figure.least_reviews and figure.review_minutes for figure in problem.figures)
        or any(lesson.min_minutes and lesson.taught is None for lesson in problem.lessons)
    )


def _whole(bound: float) -> int:
    return math.ceil(bound - 1e-6)


def _hint(term: TermModel, watch: Watch) -> None:
    """Start from the best plan so far."""
    term.model.clear_hints()  # type: ignore[no-untyped-call]
    if watch.best is None:
        return
    for key, begins in term.begins.items():
        for lesson, begin in begins.items():
            term.model.add_hint(begin, watch.best.introductions.get(key) == lesson)
    lessons = watch.best.introductions
    ends = {key: last_part(watch.problem, watch.state, key, at) for key, at in lessons.items()}
    placed = {(review.key, ends[review.key], review.due, review.index) for review in watch.best.reviews}
    for choice in term.reviews:
        term.model.add_hint(choice.chosen, (choice.key, choice.last, choice.due, choice.lesson) in placed)


class _Found(cp_model.CpSolverSolutionCallback):
    """Hands each plan the solver finds to the watch."""

    def __init__(self, term: TermModel, watch: Watch) -> None:
        super().__init__()
        self._term, self._watch = term, watch

    def on_solution_callback(self) -> None:
        term, state = self._term, self._term.state
        introductions = dict(state.taught)
        introductions.update(dict.fromkeys(state.finishing, state.first))
        for key, begins in term.begins.items():
            for lesson, begin in begins.items():
                if self.boolean_value(begin):
                    introductions[key] = lesson
        self._watch.offer(introductions, self._reviews(introductions, state))

    def _reviews(self, introductions: dict[str, int], state: Standing) -> tuple[Review, ...]:
        term = self._term
        if not term.with_reviews:
            return place_reviews(term.problem, state, introductions)
        chosen = [choice for choice in term.reviews if self.boolean_value(choice.chosen)]
        chosen.sort(key=lambda choice: (choice.lesson, state.place[choice.key]))
        return tuple(Review(choice.key, choice.lesson, choice.due) for choice in chosen)
