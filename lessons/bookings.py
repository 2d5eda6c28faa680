"""Lessons read as bookings of hall and people, and what clashes said in sentences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from django.db.models import Prefetch

from lessons.models import Course, CourseInstructor, LessonInstructor, LessonSession
from lessons.models.sessions import LessonQuerySet
from lessons.problems.wording import spoken_day
from lessons.rules.clashes import DAY, Booking, Clash, Taken, clashes
from school.models import Person


def bookings_between(
    first: dt.date, last: dt.date, lessons: LessonQuerySet | None = None
) -> tuple[Booking, ...]:
    """All lessons that take place on these days and on the days beside them. Five queries at most."""
    rows = LessonSession.objects.all() if lessons is None else lessons
    named = Prefetch("lessoninstructor_set", LessonInstructor.objects.select_related("person"))
    own = Prefetch(
        "course__courseinstructor_set", CourseInstructor.objects.select_related("person").order_by("pk")
    )
    rows = rows.given().filter(date__range=(first - DAY, last + DAY)).select_related("course", "room")
    return tuple(booking_of(row) for row in rows.prefetch_related(named, own).in_order())


def booking_of(lesson: LessonSession, instructors: Iterable[Person] | None = None) -> Booking:
    """The lesson as it stands, or with other `instructors`. Reads who gives it: prefetch for many."""
    if instructors is None:
        named = lesson.lessoninstructor_set.all() if lesson.pk else ()
        instructors = [row.person for row in named or lesson.course.courseinstructor_set.all()]
    return Booking(
        key=lesson.pk,
        course=lesson.course_id,
        course_name=lesson.course.name,
        begins=dt.datetime.combine(lesson.date, lesson.start),
        minutes=lesson.minutes,
        room=lesson.room.name,
        instructors=frozenset((person.pk, person.name) for person in instructors),
    )


def clashes_of(lesson: LessonSession, instructors: Iterable[Person] | None = None) -> tuple[Clash, ...]:
    """What this lesson cannot have where it stands (the row need not be saved so)."""
    return clashes(booking_of(lesson, instructors), bookings_between(lesson.date, lesson.date))


def said(clash: Clash) -> str:
    """ "Long Room is taken then: Swing, Wednesday 7 January, 20:00 to 21:00." """
    when = f"{spoken_day(clash.other.begins.date())}, {clash.other.hours}"
    if clash.taken is Taken.COURSE:
        return f"The course has a lesson then already: {when}."
    if clash.taken is Taken.ROOM:
        return f"{clash.who} is taken then: {clash.other.course_name}, {when}."
    return f"{clash.who} teaches then already: {clash.other.course_name}, {when}."


def said_together(found: Sequence[Clash]) -> list[str]:
    """A sentence for each other course and thing that is taken, however many lessons it meets."""
    together: dict[tuple[Taken, str, str], list[Clash]] = {}
    for clash in found:
        together.setdefault((clash.taken, clash.who, clash.other.course_name), []).append(clash)
    return [_said_of_many(group) for group in together.values()]


def _said_of_many(group: Sequence[Clash]) -> str:
    first, count = group[0], len(group)
    when = spoken_day(first.booking.begins.date())
    since = f"on {when}" if count == 1 else f"in {count} lessons, first on {when}"
    other = f"{first.other.course_name}, {first.other.hours}"
    if first.taken is Taken.COURSE:
        return f"The course would meet twice at one time {since}: {first.other.hours}."
    if first.taken is Taken.ROOM:
        return f"{first.who} is taken {since}: {other}."
    return f"{first.who} teaches another course then {since}: {other}."


def to_come(course: Course, since: dt.date) -> LessonQuerySet:
    """The course's lessons from this day on that take place and are not written up, in order."""
    return course.lessons.given().without_record().filter(date__gte=since).in_order()
