"""Laying out a course's lessons, and days without class. Nothing that stands moves silently."""

from __future__ import annotations

import datetime as dt
import logging
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from lessons.actions.changes import cancel_lesson, give_lesson, move_lesson
from lessons.models import Course, LessonSession, Meeting, PlanIntroduction, PlanReview, PlanStatus
from lessons.rules.calendar import lesson_dates
from school.models import Closure, Person, Room

__all__ = [
    "FallsOut",
    "cancel_lesson",
    "close_days",
    "closure_consequences",
    "give_lesson",
    "lay_out_lessons",
    "move_lesson",
]

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class FallsOut:
    """A lesson that a closure cancels, and what its course's published plan has there (figure names)."""

    lesson: LessonSession
    new: tuple[str, ...]
    again: tuple[str, ...]


@transaction.atomic
def lay_out_lessons(*, course: Course) -> list[LessonSession]:
    """Make the course's lessons of the term where they are missing; return those made.

    A lesson is known by the date it was first laid on, so one moved or cancelled since is not made again.
    Lessons that stand are never touched.
    """
    # One at a time: two at once would each find the same lessons missing.
    Course.objects.select_for_update().get(pk=course.pk)
    standing: dict[dt.date, list[LessonSession]] = defaultdict(list)
    taken = set()
    for lesson in course.lessons.all():
        standing[lesson.first_date].append(lesson)
        if not lesson.is_cancelled:
            taken.add((lesson.date, lesson.start))
    missing = [
        LessonSession(
            course=course,
            first_date=day,
            date=day,
            start=meeting.start,
            minutes=meeting.minutes,
            room=meeting.room,
        )
        for day, meetings in sorted(_meetings_by_day(course).items())
        for meeting in _not_laid_yet(meetings, standing[day])
        if (day, meeting.start) not in taken
    ]
    LessonSession.objects.bulk_create(missing)
    return missing


def closure_consequences(first_day: dt.date, last_day: dt.date, room: Room | None = None) -> list[FallsOut]:
    """The lessons that would fall out, in order, each with what is planned there. Three queries.

    `room`: only lessons in it; None closes the whole school. A lesson already recorded took place.
    """
    lessons = list(
        _open_lessons(first_day, last_day, room)
        .select_related("course", "room")
        .order_by("date", "start", "pk")
    )
    new = _planned(PlanIntroduction.objects.filter(lesson__in=lessons))
    again = _planned(PlanReview.objects.filter(lesson__in=lessons))
    return [FallsOut(lesson, tuple(new[lesson.pk]), tuple(again[lesson.pk])) for lesson in lessons]


@transaction.atomic
def close_days(
    *, first_day: dt.date, last_day: dt.date, reason: str, room: Room | None = None, by: Person
) -> tuple[Closure, list[LessonSession]]:
    """Close the days, once the director has seen `closure_consequences` and confirmed.

    Cancels the lessons on them and returns them; plans keep what they had there, and say that it needs
    another place. ValidationError names the field.
    """
    closure = Closure(first_day=first_day, last_day=last_day, reason=reason, room=room)
    closure.full_clean()
    closure.save()
    lessons = list(_open_lessons(first_day, last_day, room).select_related("course"))
    LessonSession.objects.filter(pk__in=[lesson.pk for lesson in lessons]).update(
        cancelled_at=timezone.now(), cancelled_because=closure.reason
    )
    logger.info("%s closed %s to %s: %d lessons fall out", by, first_day, last_day, len(lessons))
    return closure, lessons


def _open_lessons(first_day: dt.date, last_day: dt.date, room: Room | None) -> QuerySet[LessonSession]:
    lessons = LessonSession.objects.given().without_record().filter(date__range=(first_day, last_day))
    return lessons.filter(room=room) if room else lessons


def _planned(rows: QuerySet) -> dict[int, list[str]]:  # type: ignore[type-arg]
    """Lesson (pk) -> names of the figures the published plans have there, in teaching order."""
    published = rows.filter(plan_figure__plan__status=PlanStatus.PUBLISHED).order_by(
        "plan_figure__figure__level__rank", "plan_figure__figure__order"
    )
    found: dict[int, list[str]] = defaultdict(list)
    for lesson, name in published.values_list("lesson", "plan_figure__figure__name"):
        found[lesson].append(name)
    return found


def _meetings_by_day(course: Course) -> dict[dt.date, list[Meeting]]:
    """Every date of the term on which the course meets, closures left out."""
    term = course.term
    closures = Closure.objects.filter(first_day__lte=term.last_day, last_day__gte=term.first_day)
    by_day: dict[dt.date, list[Meeting]] = defaultdict(list)
    for meeting in course.meetings.select_related("room").order_by("start"):
        closed = _closed_days(closures.filter(Q(room=None) | Q(room=meeting.room)))
        dates = lesson_dates(
            term.first_day,
            term.last_day,
            weekdays={meeting.weekday},
            interval_weeks=course.interval_weeks,
            closed=closed,
        )
        for day in dates:
            by_day[day].append(meeting)
    return by_day


def _closed_days(closures: Iterable[Closure]) -> frozenset[dt.date]:
    return frozenset(day for closure in closures for day in closure.days())


def _not_laid_yet(meetings: list[Meeting], standing: list[LessonSession]) -> list[Meeting]:
    """The day's meetings without a lesson: lessons moved to another start stand for any of them."""
    starts = {meeting.start for meeting in meetings}
    laid = {lesson.start for lesson in standing}
    moved = sum(lesson.start not in starts for lesson in standing)
    return [meeting for meeting in meetings if meeting.start not in laid][moved:]
