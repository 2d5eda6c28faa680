"""Plans as rows: reading where everything stands, and writing an answer of the planner back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import chain

from django.db import transaction

from lessons.models import PlanFigure, PlanIntroduction, PlanReview, TermPlan
from lessons.planners import places
from lessons.planners.term import check_plan
from lessons.planners.term_aims import owed_reviews
from lessons.planners.term_history import standing
from lessons.planners.term_values import Finding, Review
from lessons.problems.course import CourseProblem, course_problem


def placements(course_problem: CourseProblem) -> tuple[dict[str, int], tuple[Review, ...]]:
    """Where the plan's rows put each figure, and its reviews, in the problem's indices. No query.

    History speaks for itself: a figure taught stands where it was taught, one to be finished in the first
    lesson to come; one planned for a lesson that has been, or that does not take place, stands nowhere.
    """
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
    owed = owed_dues(course_problem, introductions)
    reviews = (
        _reviews(key, row, index_of, first, owed.get(key, ()))
        for key, row in course_problem.plan_figures.items()
    )
    return introductions, tuple(
        review
        for review in chain.from_iterable(reviews)
        # The lesson that finishes a figure does not go over it again as well.
        if not (review.key in problem.unfinished and review.index == first)
    )


def findings(plan: TermPlan) -> tuple[Finding, ...]:
    """What is wrong with the plan as it stands, by the check that shares no code with the search."""
    problem = course_problem(plan)
    return check_plan(problem.problem, *placements(problem))


@transaction.atomic
def write_placements(
    course_problem: CourseProblem, introductions: Mapping[str, int], reviews: Iterable[Review]
) -> None:
    """Make the plan's rows say exactly this: every part of every figure, and every review.

    A figure that history has settled has one part, where it was taught or will be finished.
    """
    plan = course_problem.plan
    PlanIntroduction.objects.filter(plan_figure__plan=plan).delete()
    PlanReview.objects.filter(plan_figure__plan=plan).delete()
    lessons = course_problem.lessons
    new = []
    for key, index in introductions.items():
        row = course_problem.plan_figures[key]
        for part, lesson in enumerate(lessons[index : index + parts_to_come(course_problem, key)]):
            new.append(PlanIntroduction(plan_figure=row, part=part, lesson=lesson))
    PlanIntroduction.objects.bulk_create(new)
    PlanReview.objects.bulk_create(
        PlanReview(
            plan_figure=course_problem.plan_figures[review.key],
            lesson=lessons[review.index],
            due=lessons[review.due],
        )
        for review in reviews
    )


def parts_to_come(course_problem: CourseProblem, key: str) -> int:
    """How many lessons a figure takes: its parts, or one where history has settled when it is introduced."""
    problem = course_problem.problem
    taught = {name for lesson in problem.lessons for name in lesson.taught or ()}
    if key in taught or key in problem.unfinished:
        return 1
    return next(figure.parts for figure in problem.figures if figure.key == key)


def owed_dues(course_problem: CourseProblem, introductions: Mapping[str, int]) -> dict[str, tuple[int, ...]]:
    """Figure -> lessons in which its reviews are still owed, with the introductions where they stand."""
    return owed_reviews(course_problem.problem, standing(course_problem.problem), introductions)


def reviews_if_new_in(course_problem: CourseProblem, key: str, index: int) -> tuple[tuple[int, int], ...]:
    """(lesson, due lesson) of the figure's reviews once its first part stands in lesson `index`, as the
    planner lets them follow. No query."""
    found = places.reviews_if_new_in(course_problem.problem, *placements(course_problem), key, index)
    return tuple((review.index, review.due) for review in found)


def _first_part(row: PlanFigure, index_of: Mapping[int, int]) -> int | None:
    """Index of the first part's lesson; None where it stands nowhere, or in a lesson that is not given."""
    first = min(row.introductions.all(), key=lambda part: part.part, default=None)
    return None if first is None else index_of.get(first.lesson_id)


def _reviews(
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
