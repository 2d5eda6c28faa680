"""Plans as rows: what is wrong with them, and writing an answer of the planner back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db import transaction

from lessons.models import PlanIntroduction, PlanReview, TermPlan
from lessons.planners import places
from lessons.planners.term import check_plan
from lessons.planners.term_values import Finding, Review
from lessons.problems.course import CourseProblem, course_problem
from lessons.problems.places import placements


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


def reviews_if_new_in(course_problem: CourseProblem, key: str, index: int) -> tuple[tuple[int, int], ...]:
    """(lesson, due lesson) of the figure's reviews once its first part stands in lesson `index`, as the
    planner lets them follow. No query."""
    found = places.reviews_if_new_in(course_problem.problem, *placements(course_problem), key, index)
    return tuple((review.index, review.due) for review in found)
