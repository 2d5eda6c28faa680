"""One aim to be settled: the term's model with the aims above it held, and plans read from its solutions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from .term_aims import IN_STEP, last_part
from .term_first import place_reviews
from .term_model import TermModel
from .term_objectives import aim_expression, in_step
from .term_reach import Reach
from .term_values import Review, TermProblem
from .term_watch import Candidate, Given, Plan, Watch


@dataclass(frozen=True)
class Stage:
    """`model` holds every course's term in `terms`; to be minimised is one aim."""

    model: cp_model.CpModel
    terms: tuple[TermModel, ...]


def stage_model(
    watch: Watch, reaches: Sequence[Reach], aim: str, given: Given, *, kept: Sequence[Iterable[str]] = ()
) -> Stage:
    """The model that brings `aim` low while the aims in `given` stay at most at their values.

    `kept`: figures of each course that are not to be left out.
    """
    stages, model = watch.stages, cp_model.CpModel()
    down_to = stages[: stages.index(aim) + 1]
    terms = tuple(
        TermModel(
            course.problem,
            course.state,
            reach,
            with_reviews=reviews_matter(course.problem, down_to),
            needed_only="late_reviews" not in down_to,
            model=model,
        )
        for course, reach in zip(watch.courses, reaches, strict=True)
    )
    for other, most in given:
        model.add_linear_constraint(_value(watch, terms, other), 0, most)
    for term, keys in zip(terms, kept, strict=False):
        for key in keys:
            model.add_bool_or(list(term.begins[key].values()))
    model.minimize(_value(watch, terms, aim))
    return Stage(model, terms)


def _value(watch: Watch, terms: Sequence[TermModel], aim: str) -> cp_model.LinearExprT:
    if aim == IN_STEP:
        return cp_model.LinearExpr.sum([in_step(terms[one], terms[other]) for one, other in watch.ties])
    if len(terms) == 1:
        return aim_expression(terms[0], aim)
    return cp_model.LinearExpr.sum([aim_expression(term, aim) for term in terms])


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
    if not any(figure.review_minutes for figure in problem.figures):
        return False
    return (
        "late_reviews" in aims
        or any(figure.least_reviews and figure.review_minutes for figure in problem.figures)
        or any(lesson.min_minutes and lesson.taught is None for lesson in problem.lessons)
    )


def hint(stage: Stage, plans: Candidate | None) -> None:
    """Start from these plans."""
    stage.model.clear_hints()  # type: ignore[no-untyped-call]
    for term, plan in zip(stage.terms, plans.plans if plans else (), strict=False):
        for key, begins in term.begins.items():
            for lesson, begin in begins.items():
                stage.model.add_hint(begin, plan.introductions.get(key) == lesson)
        ends = {key: last_part(term.problem, term.state, key, at) for key, at in plan.introductions.items()}
        placed = {(review.key, ends[review.key], review.due, review.index) for review in plan.reviews}
        for choice in term.reviews:
            stands = (choice.key, choice.last, choice.due, choice.lesson) in placed
            stage.model.add_hint(choice.chosen, stands)


class Found(cp_model.CpSolverSolutionCallback):
    """Hands each plan the solver finds to the watch; `last` is the newest of them."""

    def __init__(self, stage: Stage, watch: Watch, aim: str) -> None:
        super().__init__()
        self._stage, self._watch, self._aim = stage, watch, aim
        self.last: Candidate | None = None

    def on_solution_callback(self) -> None:
        plans = [self._plan(term) for term in self._stage.terms]
        self.last = self._watch.offer(plans, through=self._aim)

    def _plan(self, term: TermModel) -> Plan:
        state = term.state
        introductions = dict(state.taught)
        introductions.update(dict.fromkeys(state.finishing, state.first))
        for key, begins in term.begins.items():
            for lesson, begin in begins.items():
                if self.boolean_value(begin):
                    introductions[key] = lesson
        return Plan(introductions, self._reviews(term, introductions))

    def _reviews(self, term: TermModel, introductions: dict[str, int]) -> tuple[Review, ...]:
        state = term.state
        if not term.with_reviews:
            return place_reviews(term.problem, state, introductions)
        chosen = [choice for choice in term.reviews if self.boolean_value(choice.chosen)]
        chosen.sort(key=lambda choice: (choice.lesson, state.place[choice.key]))
        return tuple(Review(choice.key, choice.lesson, choice.due) for choice in chosen)
