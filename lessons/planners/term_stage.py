"""One aim to be settled: the term's model with the aims above it held, and plans read from its solutions."""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model

from .term_aims import last_part
from .term_first import place_reviews
from .term_history import Standing
from .term_model import TermModel
from .term_objectives import aim_expression
from .term_reach import Reach
from .term_values import Review, TermProblem
from .term_watch import Candidate, Given, Watch


def stage_model(
    watch: Watch,
    reach: Reach,
    aim: str,
    given: Given,
    *,
    through: str | None = None,
    keep: Iterable[str] = (),
) -> TermModel:
    """The model that brings `aim` low while the aims in `given` stay at most at their values.

    `through`: the aim down to which reviews are looked at for whether they matter (else `aim`); `keep`:
    figures that are not to be left out.
    """
    down_to = watch.stages.index(through or aim) + 1
    with_reviews = reviews_matter(watch.problem, watch.stages[:down_to])
    term = TermModel(watch.problem, watch.state, reach, with_reviews=with_reviews)
    for other, most in given:
        term.model.add_linear_constraint(aim_expression(term, other, watch.steps), 0, most)
    for key in keep:
        term.model.add_bool_or(list(term.begins[key].values()))
    term.model.minimize(aim_expression(term, aim, watch.steps))
    return term


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


def hint(term: TermModel, plan: Candidate | None) -> None:
    """Start from this plan."""
    term.model.clear_hints()  # type: ignore[no-untyped-call]
    if plan is None:
        return
    for key, begins in term.begins.items():
        for lesson, begin in begins.items():
            term.model.add_hint(begin, plan.introductions.get(key) == lesson)
    ends = {key: last_part(term.problem, term.state, key, at) for key, at in plan.introductions.items()}
    placed = {(review.key, ends[review.key], review.due, review.index) for review in plan.reviews}
    for choice in term.reviews:
        term.model.add_hint(choice.chosen, (choice.key, choice.last, choice.due, choice.lesson) in placed)


class Found(cp_model.CpSolverSolutionCallback):
    """Hands each plan the solver finds to the watch; `last` is the newest of them."""

    def __init__(self, term: TermModel, watch: Watch, aim: str) -> None:
        super().__init__()
        self._term, self._watch, self._aim = term, watch, aim
        self.last: Candidate | None = None

    def on_solution_callback(self) -> None:
        term, state = self._term, self._term.state
        introductions = dict(state.taught)
        introductions.update(dict.fromkeys(state.finishing, state.first))
        for key, begins in term.begins.items():
            for lesson, begin in begins.items():
                if self.boolean_value(begin):
                    introductions[key] = lesson
        reviews = self._reviews(introductions, state)
        values = self._watch.offer(introductions, reviews, through=self._aim)
        self.last = Candidate(introductions, reviews, values)

    def _reviews(self, introductions: dict[str, int], state: Standing) -> tuple[Review, ...]:
        term = self._term
        if not term.with_reviews:
            return place_reviews(term.problem, state, introductions)
        chosen = [choice for choice in term.reviews if self.boolean_value(choice.chosen)]
        chosen.sort(key=lambda choice: (choice.lesson, state.place[choice.key]))
        return tuple(Review(choice.key, choice.lesson, choice.due) for choice in chosen)
