"""Laying out a course's lessons from its term, meetings and the days without class."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence

from django.db import transaction

from lessons.models import Course, LessonSession, Meeting
from lessons.rules.calendar import WEEK, lesson_dates
from school.models import Closure


@transaction.atomic
def lay_out_lessons(
    *, course: Course, only: Collection[Meeting] | None = None, since: dt.date | None = None
) -> list[LessonSession]:
    """Make the course's lessons of the term where they are missing; return those made.

    `only`: of these of its meetings (all unless given); `since`: only from this day on. Lessons that stand
    are never touched.
    """
    # One at a time: two at once would each find the same lessons missing.
    Course.objects.select_for_update().get(pk=course.pk)
    meetings = list(course.meetings.select_related("room"))
    missing = missing_lessons(course, meetings, only=only, since=since)
    LessonSession.objects.bulk_create(missing)
    return missing


def missing_lessons(
    course: Course,
    meetings: Sequence[Meeting],
    *,
    only: Collection[Meeting] | None = None,
    since: dt.date | None = None,
    closures: Iterable[Closure] | None = None,
) -> list[LessonSession]:
    """The lessons that are not laid out yet, in order and not saved. Two queries at most.

    `meetings`: all of the course, with their rooms; `only`: those of them to lay out, all unless given.
    A lesson is known by the date it was first laid on, so one moved or cancelled since is not made again.
    `closures`: the days without class (all there are unless given).
    """
    standing: dict[dt.date, list[LessonSession]] = defaultdict(list)
    taken = set()
    for lesson in course.lessons.all() if course.pk else ():
        standing[lesson.first_date].append(lesson)
        if not lesson.is_cancelled:
            taken.add((lesson.date, lesson.start))
    return [
        LessonSession(
            course=course,
            first_date=day,
            date=day,
            start=meeting.start,
            minutes=meeting.minutes,
            room=meeting.room,
        )
        for day, of_the_day in sorted(_meetings_by_day(course, meetings, closures).items())
        if since is None or day >= since
        for meeting in _not_laid_yet(of_the_day, standing[day])
        if (day, meeting.start) not in taken and (only is None or meeting in only)
    ]


def _meetings_by_day(
    course: Course, meetings: Sequence[Meeting], closures: Iterable[Closure] | None
) -> dict[dt.date, list[Meeting]]:
    """Every date of the term on which the course meets, closures left out, earliest meeting first."""
    if closures is None:
        term = course.term
        closures = Closure.objects.filter(first_day__lte=term.last_day, last_day__gte=term.first_day)
    closures = list(closures)
    begins = _begins(course, meetings)
    by_day: dict[dt.date, list[Meeting]] = defaultdict(list)
    for meeting in sorted(meetings, key=lambda one: one.start):
        closed = [one for one in closures if one.room_id in {None, meeting.room_id}]
        dates = lesson_dates(
            begins,
            course.term.last_day,
            weekdays={meeting.weekday},
            interval_weeks=course.interval_weeks,
            closed=frozenset(day for closure in closed for day in closure.days()),
        )
        for day in dates:
            by_day[day].append(meeting)
    return by_day


def _begins(course: Course, meetings: Sequence[Meeting]) -> dt.date:
    """The day lessons are counted from: the term's first, or the first meeting from `first_lesson` on, so
    that a course of every second week begins with the week it was said to begin in."""
    if course.first_lesson is None or course.first_lesson <= course.term.first_day or not meetings:
        return course.term.first_day
    wanted = course.first_lesson
    away = min((meeting.weekday - wanted.weekday()) % 7 for meeting in meetings)
    return wanted + away * (WEEK / 7)


def _not_laid_yet(meetings: list[Meeting], standing: list[LessonSession]) -> list[Meeting]:
    """The day's meetings without a lesson: lessons moved to another start stand for any of them."""
    starts = {meeting.start for meeting in meetings}
    laid = {lesson.start for lesson in standing}
    moved = sum(lesson.start not in starts for lesson in standing)
    return [meeting for meeting in meetings if meeting.start not in laid][moved:]
