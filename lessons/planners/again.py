"""The rest of a term planned again: history stays, and what was planned is disturbed least.

Nothing that is demanded is left out where that can be helped. Where moving less would cost leaving a figure
out, that is a second proposal. Where not everything demanded fits any more, the proposals leave out what is
least important, and the conflict says why.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lessons.rules.ticks import kept_ticks

from .newcomers import Planner, once_more, plan_for_newcomers
from .term_aims import last_part, lesson_minutes, measure, owed_reviews
from .term_check import check_plan
from .term_history import standing
from .term_run import plan_term
from .term_values import AIMS, Aim, FigureToTeach, Reason, Review, TermPlan, TermProblem

LEAVE_NOTHING_OUT = "leave_nothing_out"
MOVE_LEAST = "move_least"
# Of the five in which an answer is to be there: a worker takes up to half a second to hear of it.
SECONDS = 4
# Fewer moves are only worth a question where they are worth a figure.
LEAST_FIRST = ("moved", *(aim for aim in AIMS if aim != "moved"))

Introductions = Mapping[str, int]


@dataclass(frozen=True)
class Proposal:
    """One way to go on. `problem`: what `plan` is sound by."""

    name: str
    problem: TermProblem
    plan: TermPlan


@dataclass(frozen=True)
class Again:
    """`proposals`: one, or two where the director has to choose; none where nothing was found.

    `conflict`: why not everything demanded fits any more. `gave_way`: figures whose pin had to give way.
    `holds`: the plan as it stands is the proposal.
    """

    proposals: tuple[Proposal, ...]
    conflict: tuple[Reason, ...] = ()
    gave_way: tuple[str, ...] = ()
    holds: bool = False


def plan_again(
    problem: TermProblem,
    introductions: Introductions,
    reviews: Sequence[Review],
    *,
    joining: int | None = None,
    seconds: float = SECONDS,
    planner: Planner = plan_term,
    **how: Any,
) -> Again:
    """Plan what is still to come, given where everything stands now, in about `seconds`.

    `introductions`, `reviews`: of the plan as it stands, history included. `how`: as `plan_term` takes it.
    """
    until = time.monotonic() + seconds

    def plan(asked: TermProblem, share: float) -> TermPlan:
        left = max(0.3, (until - time.monotonic()) * share)
        return plan_for_newcomers(asked, joining, seconds=left, planner=planner, **how)

    state = standing(problem)
    before = {key: at for key, at in introductions.items() if key not in state.taught}
    asked = replace(problem, previous=before, ranks=AIMS)
    found = plan(asked, 0.5)
    conflict: tuple[Reason, ...] = ()
    gave_way: tuple[str, ...] = ()
    optional = _optional(asked)
    if found.status == "impossible":
        conflict = found.conflict
        asked, gave_way, found = _give_way(optional, lambda tried: plan(tried, 0.5))
    plans = [(LEAVE_NOTHING_OUT, asked, found)] if found.introductions else []
    if found.introductions and _moved(found):
        tried = replace(_unpinned(optional) if gave_way else optional, ranks=LEAST_FIRST)
        least = plan(tried, 0.9)
        if least.introductions and _worth_a_question(found, least):
            plans.append((MOVE_LEAST, tried, least))
    proposals = tuple(
        Proposal(name, *_keeping(asked, joining, plan, introductions, reviews)) for name, asked, plan in plans
    )
    holds = bool(proposals) and not conflict and _is_same(proposals[0].plan, introductions, reviews)
    return Again(proposals, conflict, gave_way, holds)


def tolerated(problem: TermProblem, reviews: Iterable[Review], taught: Introductions) -> TermProblem:
    """The problem in which what is planned of a figure taught and gone well may stay planned.

    After a good word fewer reviews are owed; those that the plan still has are no mistake of the plan.
    `reviews`: as they stand, each with the due lesson it answers; `taught`: key -> lesson.
    """
    more: dict[str, set[int]] = {}
    for review in reviews:
        if review.key in taught:
            more.setdefault(review.key, set()).add(review.due - taught[review.key])
    return replace(problem, figures=tuple(_with(figure, more.get(figure.key)) for figure in problem.figures))


def _with(figure: FigureToTeach, more: set[int] | None) -> FigureToTeach:
    if figure.review_after is None or not more or more <= set(figure.review_after):
        return figure
    return replace(figure, review_after=tuple(sorted({*figure.review_after, *more})))


def _optional(problem: TermProblem) -> TermProblem:
    """What is demanded may be left out, at more than all that is optional together."""
    dearer = 1 + sum(figure.importance for figure in problem.figures if not figure.required)
    return replace(
        problem,
        figures=tuple(
            replace(figure, required=False, importance=figure.importance * dearer)
            if figure.required
            else figure
            for figure in problem.figures
        ),
    )


def _unpinned(problem: TermProblem) -> TermProblem:
    figures = tuple(replace(figure, pinned=None) for figure in problem.figures)
    return replace(problem, figures=figures)


def _give_way(
    optional: TermProblem, plan: Callable[[TermProblem], TermPlan]
) -> tuple[TermProblem, tuple[str, ...], TermPlan]:
    """What can be had once figures may be left out, or else once pins give way too."""
    found = plan(optional)
    pinned = {figure.key: figure.pinned for figure in optional.figures if figure.pinned is not None}
    if found.status != "impossible" or not pinned:
        return optional, (), found
    free = _unpinned(optional)
    found = plan(free)
    gave_way = tuple(key for key, at in pinned.items() if found.introductions.get(key) != at)
    return free, gave_way, found


def _moved(plan: TermPlan) -> int:
    return next(aim.value for aim in plan.aims if aim.name == "moved")


def _worth_a_question(found: TermPlan, least: TermPlan) -> bool:
    """Fewer figures move, and some other one is left out for it."""
    return _moved(least) < _moved(found) and not set(least.left_out) <= set(found.left_out)


def _keeping(
    asked: TermProblem,
    joining: int | None,
    plan: TermPlan,
    introductions: Introductions,
    reviews: Sequence[Review],
) -> tuple[TermProblem, TermPlan]:
    """The plan with the reviews of unmoved figures left where they stand, as far as that is sound.

    A figure of which nothing has been said keeps those it has; one that went well or badly since, or that
    newcomers need, where they answer as many of the reviews owed as the planner placed.
    """
    usual = {figure.key for figure in asked.figures if figure.review_after is None}
    due = once_more(asked, joining, plan.introductions)
    state = standing(due)
    owed = owed_reviews(due, state, plan.introductions)
    kept: list[Review] = []
    for figure in due.figures:
        own = [review for review in plan.reviews if review.key == figure.key]
        there = [review for review in reviews if review.key == figure.key]
        at = plan.introductions.get(figure.key)
        if at is not None and introductions.get(figure.key) == at:
            last = last_part(due, state, figure.key, at)
            answered = kept_ticks(
                [review.index for review in there],
                owed.get(figure.key, ()),
                slack=due.review_slack,
                after=max(last, state.first - 1),
                spared=len(own) + len(there),
            )
            is_usual = figure.key in usual and figure.review_after is None
            own = there if is_usual or len(answered) >= len(own) else own
        kept.extend(own)
    gone = {key: at for key, at in plan.introductions.items() if key in state.taught}
    loose = tolerated(due, kept, gone)
    if check_plan(loose, plan.introductions, kept):
        return due, plan
    values = measure(loose, state, plan.introductions, kept)
    return loose, replace(
        plan,
        reviews=tuple(kept),
        minutes=lesson_minutes(loose, state, plan.introductions, kept),
        aims=tuple(Aim(aim.name, values[aim.name], min(aim.bound, values[aim.name])) for aim in plan.aims),
    )


def _is_same(plan: TermPlan, introductions: Introductions, reviews: Sequence[Review]) -> bool:
    stands = {(review.key, review.index) for review in reviews}
    return dict(plan.introductions) == dict(introductions) and stands == {
        (review.key, review.index) for review in plan.reviews
    }
