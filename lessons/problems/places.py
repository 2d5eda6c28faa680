"""Where a plan's rows put everything, in the problem's indices, and which reviews are owed there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import chain
from typing import TYPE_CHECKING

from lessons.models import PlanFigure
from lessons.planners.again import tolerated
from lessons.planners.newcomers import not_seen_again, once_more
from lessons.planners.term_aims import owed_reviews
from lessons.planners.term_history import standing
from lessons.planners.term_values import Review
from lessons.problems.wording import spoken_day
from lessons.rules.ticks import kept_ticks

if TYPE_CHECKING:
    from lessons.problems.course import CourseProblem


def placements(course_problem: CourseProblem) -> tuple[dict[str, int], tuple[Review, ...]]:
    """Where the plan's rows put each figure, and its reviews, in the problem's indices. No query.

    History speaks for itself: a figure taught stands where it was taught, one to be finished in the first
    lesson to come; one planned for a lesson that has been, or that does not take place, stands nowhere.
    """
    introductions = _introductions(course_problem)
    return introductions, _reviews(course_problem, introductions)


def owed_dues(course_problem: CourseProblem, introductions: Mapping[str, int]) -> dict[str, tuple[int, ...]]:
    """Figure -> lessons in which its reviews are still owed, with the introductions where they stand."""
    return owed_reviews(course_problem.problem, standing(course_problem.problem), introductions)


def as_it_stands(course_problem: CourseProblem) -> CourseProblem:
    """The same with `problem` made for checking the plan where it stands. No query.

    What newcomers need is due in the lesson in which they may join; what is planned of a figure that has
    gone well since may stay planned.
    """
    introductions = _introductions(course_problem)
    joined = once_more(course_problem.to_plan, course_problem.joining, introductions)
    read = replace(course_problem, problem=joined)
    own = {figure.key for figure in course_problem.to_plan.figures if figure.review_after is not None}
    gone = {key: at for key, at in introductions.items() if key in own and at < course_problem.first_to_come}
    if gone:
        read = replace(read, problem=tolerated(joined, _reviews(read, introductions), gone))
    return replace(read, notes=(*read.notes, *_unseen_by_newcomers(read, introductions)))


def _unseen_by_newcomers(course_problem: CourseProblem, introductions: Mapping[str, int]) -> Iterator[str]:
    joining = course_problem.joining
    if joining is None:
        return
    reviews = _reviews(course_problem, introductions)
    day = spoken_day(course_problem.lessons[joining].date)
    for key in not_seen_again(course_problem.to_plan, joining, introductions, reviews):
        yield f"{key} is needed later and does not come again on {day}, when newcomers may still join."


def _introductions(course_problem: CourseProblem) -> dict[str, int]:
    problem, first = course_problem.problem, course_problem.first_to_come
    index_of = {lesson.pk: index for index, lesson in enumerate(course_problem.lessons)}
    introductions: dict[str, int] = {}
    for lesson in problem.lessons[:first]:
        for key in lesson.taught or ():
            introductions.setdefault(key, lesson.index)
    if first < len(problem.lessons):
        introductions.update(dict.fromkeys(problem.unfinished, first))
    for key, row in course_problem.plan_figures.items():
        index = _first_part(row, index_of)
        if index is not None and index >= first:
            introductions.setdefault(key, index)
    return introductions


def _first_part(row: PlanFigure, index_of: Mapping[int, int]) -> int | None:
    """Index of the first part's lesson; None where it stands nowhere, or in a lesson that is not given."""
    first = min(row.introductions.all(), key=lambda part: part.part, default=None)
    return None if first is None else index_of.get(first.lesson_id)


def _reviews(course_problem: CourseProblem, introductions: Mapping[str, int]) -> tuple[Review, ...]:
    problem, first = course_problem.problem, course_problem.first_to_come
    index_of = {lesson.pk: index for index, lesson in enumerate(course_problem.lessons)}
    owed = owed_dues(course_problem, introductions)
    own = {figure.key for figure in course_problem.to_plan.figures if figure.review_after is not None}
    reviews = chain.from_iterable(
        _within(key, row, index_of, first, owed.get(key, ()), problem.review_slack)
        if key in own
        else _nearest(key, row, index_of, first, owed.get(key, ()))
        for key, row in course_problem.plan_figures.items()
    )
    return tuple(
        review
        for review in reviews
        # The lesson that finishes a figure does not go over it again as well.
        if not (review.key in problem.unfinished and review.index == first)
    )


def _nearest(
    key: str, row: PlanFigure, index_of: Mapping[int, int], first: int, owed: tuple[int, ...]
) -> list[Review]:
    """The figure's reviews to come, in order, each with the lesson it is due in.

    The rows name the lesson each was due in; where the figure has since been taught on another evening, or
    a lesson fell out, each stands for the nearest of the reviews that are owed now.
    """
    placed = sorted(
        (index_of[review.lesson_id], index_of.get(review.due_id, index_of[review.lesson_id]))
        for review in row.reviews.all()
        if index_of.get(review.lesson_id, -1) >= first
    )
    found = []
    for index, stored in placed:
        due = stored if stored in owed else min(owed, key=lambda due: abs(due - index), default=stored)
        owed = tuple(other for other in owed if other > due)
        found.append(Review(key, index, due))
    return found


def _within(
    key: str, row: PlanFigure, index_of: Mapping[int, int], first: int, owed: tuple[int, ...], slack: int
) -> list[Review]:
    """The same for a figure whose reviews go by how it went: each stands for one that is owed within reach,
    or else for itself."""
    placed = sorted(index_of[row.lesson_id] for row in row.reviews.all() if row.lesson_id in index_of)
    coming = [index for index in placed if index >= first]
    due_of = dict(kept_ticks(coming, owed, slack=slack, after=first - 1, spared=len(owed)))
    return [Review(key, index, due_of.get(index, index)) for index in coming]
