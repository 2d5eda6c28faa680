"""Moving the lessons to come along with a meeting whose day, hour, length or room has changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from lessons.actions.changes import refuse_no_such_time
from lessons.models import Course, LessonSession, Meeting
from lessons.problems import spoken_day
from lessons.rules.clashes import clashes_of_all
from lessons.timetable.bookings import booking_of, bookings_between, said, to_come
from school.models import Closure


@dataclass(frozen=True)
class Shift:
    """`there`: the lesson as it would stand, not saved. `stays_for`: why it stays; empty if it can move."""

    here: LessonSession
    there: LessonSession
    stays_for: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        at = f"{spoken_day(self.here.date)}, {self.here.start:%H:%M}"
        if self.stays_for:
            return f"{at}, stays where it is. {' '.join(self.stays_for)}"
        day = "" if self.there.date == self.here.date else f"{spoken_day(self.there.date)}, "
        room = "" if self.there.room_id == self.here.room_id else f", {self.there.room}"
        length = "" if self.there.minutes == self.here.minutes else f", {self.there.minutes} minutes"
        return f"{at}, moves to {day}{self.there.start:%H:%M}{room}{length}."


def shifts_of(
    course: Course, changed: Iterable[tuple[Meeting, Meeting]], *, today: dt.date
) -> tuple[Shift, ...]:
    """Where the lessons to come go if they follow their meetings, in order.

    `changed`: each meeting as it was and as it is now. A lesson that was moved or given another hour on its
    own is left alone. A constant number of queries.
    """
    rows = to_come(course, today).select_related("room", "course__term")
    lessons = list(
        rows.prefetch_related("lessoninstructor_set__person", "course__courseinstructor_set__person")
    )
    pairs = [
        (lesson, _there(lesson, before, now))
        for before, now in changed
        for lesson in lessons
        if lesson.date == lesson.first_date
        and (lesson.date.weekday(), lesson.start) == (before.weekday, before.start)
    ]
    if not pairs:
        return ()
    taken, closures = _taken([there for _, there in pairs]), list(Closure.objects.all())
    found = [
        Shift(here, there, (*_cannot_be(there, closures, today), *taken.get(there.pk, ())))
        for here, there in pairs
    ]
    return tuple(sorted(found, key=lambda shift: (shift.here.date, shift.here.start)))


def make_shifts(shifts: Iterable[Shift]) -> list[LessonSession]:
    """Move those that can; return them. Inside the transaction that saves the meetings."""
    moved = [shift.there for shift in shifts if not shift.stays_for]
    for lesson in moved:
        lesson.save(update_fields=["date", "start", "minutes", "room"])
    return moved


def _there(lesson: LessonSession, before: Meeting, now: Meeting) -> LessonSession:
    there = copy(lesson)
    there.date = lesson.date + dt.timedelta(days=now.weekday - before.weekday)
    there.start, there.minutes, there.room = now.start, now.minutes, now.room
    return there


def _cannot_be(there: LessonSession, closures: Sequence[Closure], today: dt.date) -> Iterable[str]:
    term = there.course.term
    if there.date < today:
        yield f"{spoken_day(there.date)} is past."
    if not term.first_day <= there.date <= term.last_day:
        yield f"{spoken_day(there.date)} lies outside {term}."
    for closure in closures:
        if closure.first_day <= there.date <= closure.last_day and closure.room_id in {None, there.room_id}:
            yield f"There is no class on {spoken_day(there.date)}: {closure.reason}."
    try:
        refuse_no_such_time(there.date, there.start)
    except ValidationError as refused:
        yield from refused.messages


def _taken(lessons: Sequence[LessonSession]) -> dict[int, list[str]]:
    """What each cannot have there, by primary key; those that shift together are not in each other's way."""
    days = [lesson.date for lesson in lessons]
    shifting = {lesson.pk for lesson in lessons}
    others = [one for one in bookings_between(min(days), max(days)) if one.key not in shifting]
    found: dict[int, list[str]] = {}
    for clash in clashes_of_all(map(booking_of, lessons), others):
        found.setdefault(clash.booking.key or 0, []).append(said(clash))
    return found
