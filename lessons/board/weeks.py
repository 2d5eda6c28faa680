"""The ruler: weeks of the term, with a course's lessons on them and the days without class as gaps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from lessons.board.values import Column, Gauge, Week
from lessons.models import Course, LessonSession
from school.models import Closure

ONE_WEEK = dt.timedelta(weeks=1)


@dataclass(frozen=True)
class Happenings:
    """What is known of a course's lessons beside their dates. Lessons are named by primary key."""

    today: dt.date
    past: frozenset[int] = frozenset()
    recorded: frozenset[int] = frozenset()
    gauges: Mapping[int, Gauge] = field(default_factory=dict)
    troubles: Mapping[int, str] = field(default_factory=dict)
    milestones: tuple[tuple[dt.date, str], ...] = ()


def monday_of(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def weeks_of(
    course: Course,
    lessons: Sequence[LessonSession],
    closures: Iterable[Closure],
    happenings: Happenings,
) -> tuple[Week, ...]:
    """Every week of the term, and any beyond it that a lesson was moved to.

    `lessons`: all of the course's, in order, cancelled ones too. Those that take place are numbered.
    The course comes with its term and meetings.
    """
    columns = [*_lesson_columns(lessons, happenings), *_closed(course, lessons, closures)]
    first, last = monday_of(course.term.first_day), monday_of(course.term.last_day)
    days = [column.day for column in columns]
    first, last = min([first, *map(monday_of, days)]), max([last, *map(monday_of, days)])
    by_week: dict[dt.date, list[Column]] = {}
    for column in sorted(columns, key=lambda column: (column.day, column.index or 0)):
        by_week.setdefault(monday_of(column.day), []).append(column)
    marks: dict[dt.date, list[str]] = {}
    for day, name in happenings.milestones:
        marks.setdefault(monday_of(day), []).append(name)
    return tuple(_number(first, last, by_week, monday_of(course.term.first_day), marks))


def _number(
    first: dt.date,
    last: dt.date,
    by_week: Mapping[dt.date, list[Column]],
    begins: dt.date,
    milestones: Mapping[dt.date, list[str]],
) -> Iterator[Week]:
    monday, month = first, 0
    while monday <= last:
        columns = by_week.get(monday) or [Column(monday)]
        shown = columns[0].day if columns[0].lesson else monday
        name = shown.strftime("%b") if shown.month != month else ""
        month = shown.month
        number = (monday - begins).days // 7 + 1
        yield Week(number, monday, name, tuple(columns), tuple(milestones.get(monday, ())))
        monday += ONE_WEEK


def _lesson_columns(lessons: Sequence[LessonSession], happenings: Happenings) -> Iterator[Column]:
    index = 0
    for lesson in lessons:
        if lesson.is_cancelled:
            yield Column(lesson.date, lesson, lesson.pk, reason=lesson.cancelled_because or "cancelled")
            continue
        yield Column(
            day=lesson.date,
            lesson=lesson,
            key=lesson.pk,
            index=index,
            gauge=happenings.gauges.get(lesson.pk),
            is_past=lesson.pk in happenings.past,
            is_tonight=lesson.date == happenings.today,
            is_recorded=lesson.pk in happenings.recorded,
            is_moved=lesson.date != lesson.first_date,
            trouble=happenings.troubles.get(lesson.pk, ""),
        )
        index += 1


def _closed(
    course: Course, lessons: Sequence[LessonSession], closures: Iterable[Closure]
) -> Iterator[Column]:
    """A gap for each meeting day that fell on a day without class, unless a lesson tells of that day."""
    told = {lesson.date for lesson in lessons} | {
        lesson.first_date for lesson in lessons if not lesson.is_cancelled
    }
    rooms = {meeting.weekday: meeting.room_id for meeting in course.meetings.all()}
    for closure in closures:
        for day in closure.days():
            if not course.term.first_day <= day <= course.term.last_day or day in told:
                continue
            if day.weekday() in rooms and closure.room_id in {None, rooms[day.weekday()]}:
                told.add(day)
                yield Column(day, reason=closure.reason)
