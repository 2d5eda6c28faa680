"""People may join a course until a lesson the director names: what is needed later comes again in it.

A review is due so many lessons after its figure, wherever that stands; this one is due in a lesson that is
named. So the term is planned twice: first for the introductions, then, with these where they are, for the
reviews with the added ones among them.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from .term_history import standing
from .term_run import plan_term
from .term_values import Aim, FigureToTeach, Review, TermPlan, TermProblem

Planner = Callable[..., TermPlan]

# The introductions are the question; the reviews then fall into place quickly.
SHARE_OF_THE_FIRST = 0.8


def plan_for_newcomers(
    problem: TermProblem, joining: int | None, *, seconds: float, planner: Planner = plan_term, **how: Any
) -> TermPlan:
    """Plan the term in at most `seconds`; `joining`: the lesson (index) until which people may join, or None.

    The answer is sound by `once_more(problem, joining, plan.introductions)`. `how`: as `plan_term` takes it.
    """
    if joining is None:
        return planner(problem, seconds=seconds, **how)
    began = time.monotonic()
    first = planner(problem, seconds=seconds * SHARE_OF_THE_FIRST, **how)
    left = max(0.5, seconds - (time.monotonic() - began))
    return settle_newcomers(problem, joining, first, seconds=left, planner=planner, **how)


def settle_newcomers(
    problem: TermProblem,
    joining: int | None,
    first: TermPlan,
    *,
    seconds: float,
    planner: Planner = plan_term,
    **how: Any,
) -> TermPlan:
    """The plan `first` with its introductions as they are and what newcomers need come once more."""
    due = once_more(problem, joining, first.introductions)
    if not first.introductions or due == problem:
        return first
    second = planner(settled(due, first), seconds=seconds, **how)
    if not second.aims:
        return first
    return replace(second, aims=_bounded(first, second), status=_status(first, second))


def needed_later(problem: TermProblem, joining: int, introductions: Mapping[str, int]) -> dict[str, int]:
    """Key -> lesson of its last part, of figures new before lesson `joining` that something new in it, or
    after it, needs. What stands nowhere yet counts as coming later."""
    wanted = {
        need
        for figure in problem.figures
        if introductions.get(figure.key, joining) >= joining
        for need in figure.needs | figure.after
    }
    state = standing(problem)
    found = {}
    for figure in problem.figures:
        if figure.key not in wanted or figure.key not in introductions or not figure.review_minutes:
            continue
        last = introductions[figure.key] + (0 if state.settled(figure.key) else figure.parts - 1)
        if last < joining:
            found[figure.key] = last
    return found


def not_seen_again(
    problem: TermProblem, joining: int | None, introductions: Mapping[str, int], reviews: Iterable[Review]
) -> tuple[str, ...]:
    """What newcomers need later and the plan does not have in lesson `joining`, in syllabus order."""
    if joining is None:
        return ()
    seen = {review.key for review in reviews if review.index == joining}
    return tuple(key for key in needed_later(problem, joining, introductions) if key not in seen)


def once_more(problem: TermProblem, joining: int | None, introductions: Mapping[str, int]) -> TermProblem:
    """The problem in which what newcomers need later is due in lesson `joining` as well, with the
    introductions where they are."""
    if joining is None:
        return problem
    needed = needed_later(problem, joining, introductions)
    if not needed:
        return problem
    figures = (
        _due_in(problem, figure, joining - needed[figure.key]) if figure.key in needed else figure
        for figure in problem.figures
    )
    return replace(problem, figures=tuple(figures))


def _due_in(problem: TermProblem, figure: FigureToTeach, distance: int) -> FigureToTeach:
    own = problem.review_after if figure.review_after is None else figure.review_after
    return figure if distance in own else replace(figure, review_after=tuple(sorted({*own, distance})))


def settled(problem: TermProblem, plan: TermPlan) -> TermProblem:
    """Every introduction where the plan has it; what it leaves out stays out."""
    everywhere = frozenset(range(len(problem.lessons)))
    fixed = standing(problem)
    return replace(
        problem,
        figures=tuple(
            figure
            if fixed.settled(figure.key)
            else replace(figure, pinned=plan.introductions[figure.key])
            if figure.key in plan.introductions
            else replace(figure, required=False, pinned=None, barred=everywhere)
            for figure in problem.figures
        ),
    )


def _bounded(first: TermPlan, second: TermPlan) -> tuple[Aim, ...]:
    """The second plan's values with bounds that hold without its pins: those of the first, which owed fewer
    reviews, as long as the aims above have come out the same; nothing is known of those below."""
    aims, same = [], True
    for before, after in zip(first.aims, second.aims, strict=True):
        aims.append(Aim(after.name, after.value, min(before.bound, after.value) if same else 0))
        same = same and before.value == after.value
    return tuple(aims)


def _status(first: TermPlan, second: TermPlan) -> str:
    proved = all(aim.value == aim.bound for aim in _bounded(first, second))
    return "optimal" if proved else "feasible"
