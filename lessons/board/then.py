"""What a lesson that has been was planned to hold: by the plan that was published when it began."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
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
    of_plan = {plan.pk: course for course, found in plans.items() for plan in found}
    rows = {"plan_figure__plan__in": of_plan, "lesson__date__lte": today()}
    related = ("plan_figure__figure", "lesson")
    introductions = PlanIntroduction.objects.filter(**rows).select_related(*related)
    reviews = PlanReview.objects.filter(**rows).select_related(*related)
    new: dict[int, list[PlanIntroduction]] = defaultdict(list)
    again: dict[int, list[PlanReview]] = defaultdict(list)
    for kept, found in ((new, introductions), (again, reviews)):
        for row in found:
            course = of_plan[row.plan_figure.plan_id]
            if row.plan_figure.plan_id == _in_force(row.lesson, plans[course]).pk:
                kept[course].append(row)
    return {course: Then(tuple(new[course]), tuple(again[course])) for course in plans}


def _in_force(lesson: LessonSession, plans: Sequence[TermPlan]) -> TermPlan:
    """The last one published before the lesson; the first of all for what lies before any."""
    zone = timezone.get_current_timezone()
    begins = dt.datetime.combine(lesson.date, lesson.start, tzinfo=zone)
    before_all = dt.datetime.min.replace(tzinfo=dt.UTC)

    def published(plan: TermPlan) -> dt.datetime:
        return plan.published_at or before_all

    earlier = [plan for plan in plans if published(plan) <= begins]
    return max(earlier, key=published) if earlier else min(plans, key=published)
