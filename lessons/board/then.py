"""What a lesson that has been was planned to hold: by the plan that was published when it began."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from lessons.models import Course, LessonSession, PlanIntroduction, PlanReview, PlanStatus, TermPlan
from school.clock import today

OFFICIAL = (PlanStatus.PUBLISHED, PlanStatus.RETIRED)


@dataclass(frozen=True)
class Then:
    """A course's introductions and reviews up to today, each of the plan that was in force at its lesson."""

    introductions: tuple[PlanIntroduction, ...] = ()
    reviews: tuple[PlanReview, ...] = ()


def then_of(courses: Sequence[Course]) -> dict[int, Then]:
    """Three queries for any number of courses; by primary key. A course that never had a published plan is
    not among them."""
    plans: dict[int, list[TermPlan]] = {}
    for plan in TermPlan.objects.filter(course__in=courses, status__in=OFFICIAL):
        plans.setdefault(plan.course_id, []).append(plan)
    rows = {
        "plan_figure__plan__in": [plan.pk for found in plans.values() for plan in found],
        "lesson__date__lte": today(),
    }
    related = ("plan_figure__figure", "lesson")
    introductions = list(PlanIntroduction.objects.filter(**rows).select_related(*related))
    reviews = list(PlanReview.objects.filter(**rows).select_related(*related))
    return {
        course: Then(
            tuple(row for row in introductions if _held(row, found)),
            tuple(row for row in reviews if _held(row, found)),
        )
        for course, found in plans.items()
    }


def _held(row: PlanIntroduction | PlanReview, plans: Sequence[TermPlan]) -> bool:
    """Whether the row's plan is the one of these that was in force when the row's lesson began."""
    return bool(row.plan_figure.plan_id == _in_force(row.lesson, plans).pk)


def _in_force(lesson: LessonSession, plans: Sequence[TermPlan]) -> TermPlan:
    """The last one published before the lesson; the first of all for what lies before any."""
    zone = timezone.get_current_timezone()
    begins = dt.datetime.combine(lesson.date, lesson.start, tzinfo=zone)
    before_all = dt.datetime.min.replace(tzinfo=dt.UTC)

    def published(plan: TermPlan) -> dt.datetime:
        return plan.published_at or before_all

    earlier = [plan for plan in plans if published(plan) <= begins]
    return max(earlier, key=published) if earlier else min(plans, key=published)
