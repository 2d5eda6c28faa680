"""Lessons read as bookings of hall and people, and what clashes said in sentences.

Private lessons book a hall and an instructor as courses' lessons do.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence

from lessons.models import Course, CourseInstructor, LessonInstructor, LessonSession, PrivateLesson
from lessons.models.sessions import LessonQuerySet
from lessons.problems.wording import spoken_day
from lessons.rules.clashes import DAY, Booking, Clash, Taken, clashes
from school.models import Person


def bookings_between(first: dt.date, last: dt.date) -> tuple[Booking, ...]:
    """All that is booked on these days and on the days beside them, courses' lessons first. Four queries at
    most."""
    return (*course_bookings(first, last), *private_bookings(first, last))


def course_bookings(first: dt.date, last: dt.date) -> tuple[Booking, ...]:
    """The courses' lessons that take place on these days and on those beside them. Three queries at most."""
    lessons = LessonSession.objects.given().filter(date__range=(first - DAY, last + DAY))
    columns = ("pk", "course", "course__name", "date", "start", "minutes", "room__name")
    found = list(lessons.in_order().values_list(*columns))
    if not found:
        return ()
    named: dict[int, set[tuple[int, str]]] = defaultdict(set)
    for lesson, person, name in LessonInstructor.objects.filter(lesson__in=lessons.order_by()).values_list(
        "lesson", "person", "person__name"
    ):
        named[lesson].add((person, name))
    own: dict[int, set[tuple[int, str]]] = defaultdict(set)
    for course, person, name in CourseInstructor.objects.filter(
        course__in=lessons.order_by().values("course")
    ).values_list("course", "person", "person__name"):
        own[course].add((person, name))
    return tuple(
        Booking(
            key=key,
            course=course,
            course_name=course_name,
            begins=dt.datetime.combine(date, start),
            minutes=minutes,
            room=room,
            instructors=frozenset(named[key] or own[course]),
        )
        for key, course, course_name, date, start, minutes, room in found
    )


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


def private_bookings(first: dt.date, last: dt.date) -> tuple[Booking, ...]:
    """The private lessons of these days and of those beside them. One query."""
    rows = PrivateLesson.objects.filter(date__range=(first - DAY, last + DAY))
    rows = rows.select_related("instructor", "room").order_by("date", "start", "pk")
    return tuple(private_booking_of(row) for row in rows)


def private_booking_of(lesson: PrivateLesson) -> Booking:
    """Whether or not it is written down yet."""
    return Booking(
        key=None,
        course=None,
        course_name="a private lesson",
        begins=dt.datetime.combine(lesson.date, lesson.start),
        minutes=lesson.minutes,
        room=lesson.room.name if lesson.room else "",
        instructors=frozenset({(lesson.instructor.pk, lesson.instructor.name)}),
        private=lesson.pk,
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
    if clash.other.private:
        return f"{clash.who} gives a private lesson then: {when}."
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
    if first.other.private:
        return f"{first.who} gives a private lesson then {since}: {first.other.hours}."
    return f"{first.who} teaches another course then {since}: {other}."


def to_come(course: Course, since: dt.date) -> LessonQuerySet:
    """The course's lessons from this day on that take place and are not written up, in order."""
    return course.lessons.given().without_record().filter(date__gte=since).in_order()
