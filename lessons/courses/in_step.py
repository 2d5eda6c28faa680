"""Parallel courses beside each other: which evening is ahead, and what is planned for different weeks."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lessons.models import (
    Course,
    LessonSession,
    Outcome,
    PlanFigure,
    PlanIntroduction,
    PlanRun,
    PlanStatus,
    RecordedFigure,
)
from lessons.problems.wording import spoken_day, spoken_list
from lessons.rules.in_step import Ahead, Evening, ahead, in_different_weeks, monday
from school.clock import today

NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


@dataclass(frozen=True)
class Step:
    """What is said of a course in step: `behind` and `leads` in sentences; `apart`: what is planned for
    different weeks, in sentences; `others`: the other evenings."""

    others: tuple[Course, ...]
    behind: tuple[str, ...]
    leads: tuple[str, ...]
    apart: tuple[str, ...]

    @property
    def is_in_step(self) -> bool:
        return not (self.behind or self.leads or self.apart)


def step_of(course: Course) -> Step | None:
    """How the course stands beside its parallel ones; None where it has none. No query for a course that is
    in no group, else four."""
    if course.group_id is None:
        return None
    others = list(
        Course.objects.filter(group=course.group_id, term=course.term_id, dance=course.dance_id)
        .exclude(pk=course.pk)
        .order_by("key", "pk")
    )
    if not others:
        return None
    evenings = _evenings([course, *others])
    own = evenings[course.pk]
    behind, leads, apart = [], [], []
    for other in others:
        beside = evenings[other.pk]
        if found := ahead(beside, own, today=today()):
            behind.append(_said_behind(found))
        if found := ahead(own, beside, today=today()):
            leads.append(_said_ahead(found))
        rows = in_different_weeks(own, beside, today=today())
        apart += [_said_apart(name, "here", here, other.name, there) for name, here, there in rows]
    return Step(tuple(others), tuple(behind), tuple(leads), tuple(apart))


def out_of_step(runs: Sequence[PlanRun]) -> Iterator[str]:
    """What the plans of tied runs still have in different weeks, each with why; what both have had is past
    mending. Two queries."""
    pks = {pk for run in runs for pk in run.result["lessons"]}
    days = dict(LessonSession.objects.filter(pk__in=pks).values_list("pk", "date"))
    pinned = set(
        PlanFigure.objects.filter(plan__in=[run.plan_id for run in runs], pinned__isnull=False).values_list(
            "plan", "figure__name"
        )
    )
    first, *others = runs
    for other in others:
        for name in first.result["introductions"]:
            here, there = _day(first, name, days), _day(other, name, days)
            is_past = _has_had(first, name) and _has_had(other, name)
            if here and there and not is_past and monday(here) != monday(there):
                why = _why_apart(name, (first, here), (other, there), days, pinned)
                own = f"in {first.plan.course}"
                yield f"{_said_apart(name, own, here, str(other.plan.course), there)} {why}"


def _day(run: PlanRun, name: str, days: dict[int, dt.date]) -> dt.date | None:
    index = run.result["introductions"].get(name)
    return None if index is None else days.get(run.result["lessons"][index])


def _has_had(run: PlanRun, name: str) -> bool:
    return bool(run.result["introductions"].get(name, math.inf) < run.result["first_to_come"])


def _why_apart(
    name: str,
    one: tuple[PlanRun, dt.date],
    other: tuple[PlanRun, dt.date],
    days: dict[int, dt.date],
    pinned: set[tuple[int, str]],
) -> str:
    """The first that holds, of either evening."""
    for (run, _), (_, wanted) in ((one, other), (other, one)):
        course = run.plan.course
        if _has_had(run, name):
            return f"{course} has had it."
        if (run.plan_id, name) in pinned:
            return f"It is kept in its lesson in {course}."
        if not any(monday(days[pk]) == monday(wanted) for pk in run.result["lessons"] if pk in days):
            return f"{course} has no lesson in that week."
    return "In that week the other evening has no room for it, or not yet what it needs."


def _evenings(courses: Sequence[Course]) -> dict[int, Evening]:
    """Course (pk) -> its evening. Three queries."""
    taught: dict[int, dict[str, dt.date]] = {course.pk: {} for course in courses}
    recorded = RecordedFigure.objects.filter(record__lesson__course__in=courses, outcome=Outcome.INTRODUCED)
    rows = recorded.order_by("record__lesson__date", "pk")
    for course, name, day in rows.values_list(
        "record__lesson__course", "figure__name", "record__lesson__date"
    ):
        taught[course].setdefault(name, day)
    planned: dict[int, dict[str, dt.date]] = {course.pk: {} for course in courses}
    new = PlanIntroduction.objects.filter(
        plan_figure__plan__course__in=courses,
        plan_figure__plan__status=PlanStatus.PUBLISHED,
        part=0,
        lesson__cancelled_at__isnull=True,
    )
    places = new.order_by("lesson__date", "pk")
    for course, name, day in places.values_list(
        "plan_figure__plan__course", "plan_figure__figure__name", "lesson__date"
    ):
        planned[course][name] = day
    lessons: dict[int, list[dt.date]] = {course.pk: [] for course in courses}
    given = LessonSession.objects.given().filter(course__in=courses).order_by("date")
    for course, day in given.values_list("course", "date"):
        lessons[course].append(day)
    return {
        course.pk: Evening(course.name, taught[course.pk], planned[course.pk], tuple(lessons[course.pk]))
        for course in courses
    }


def _said_behind(found: Ahead) -> str:
    return f"The other evening, {found.evening}, is {_lessons(found.lessons)} ahead: {_figures(found)}."


def _said_ahead(found: Ahead) -> str:
    return f"This evening is {_lessons(found.lessons)} ahead of {found.behind}: {_figures(found)}."


def _figures(found: Ahead) -> str:
    return spoken_list(
        [
            f"{name}, which comes on {spoken_day(day)}" if day else f"{name}, which is still to come"
            for name, day in found.comes
        ]
    )


def _lessons(count: int) -> str:
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return "a lesson" if count == 1 else f"{number} lessons"


def _said_apart(name: str, where: str, here: dt.date, other: str, there: dt.date) -> str:
    return f"{name} is new {where} on {spoken_day(here)}, in {other} on {spoken_day(there)}."
