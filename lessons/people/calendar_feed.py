"""A person's lessons as a calendar other programs read (RFC 5545).

Times are written in UTC, so that no reader needs to know when clocks change here; each lesson is an event of
its own, with an identifier that stays and a number that rises when it is moved, cancelled or brought back.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable

from django.db.models import F, Q
from django.utils import timezone
from icalendar import Calendar, Event

from lessons.models import (
    CalendarAddress,
    CatchUp,
    CatchUpState,
    HelperCall,
    LessonSession,
    PrivateLesson,
)
from school.clock import today
from school.models import Person, School

# What is longer past than this leaves the calendar.
PAST = dt.timedelta(days=120)
READ_AGAIN = dt.timedelta(hours=6)
_PRODUCT = "-//Freefoot//Lessons//EN"
_CONFIRMED, _TENTATIVE, _CANCELLED = "CONFIRMED", "TENTATIVE", "CANCELLED"


def calendar_feed(address: CalendarAddress, school: School | None) -> bytes:
    """The person's lessons as a calendar file: of their courses, to catch up, private, and those they give.
    Six queries at most."""
    person = address.person
    feed = Calendar()
    feed.add("prodid", _PRODUCT)
    feed.add("version", "2.0")
    feed.add("name", school.name if school else "Lessons")
    feed.add("x-wr-calname", school.name if school else "Lessons")
    feed.add("refresh-interval", READ_AGAIN, parameters={"VALUE": "DURATION"})
    for event in _events(address, person, school):
        feed.add_component(event)
    return feed.to_ical()


def _events(address: CalendarAddress, person: Person, school: School | None) -> Iterable[Event]:
    told = {lesson.pk: (lesson, "", _CONFIRMED) for lesson in _own_lessons(person)}
    for visit in _visits(person):
        status = _CONFIRMED if visit.state == CatchUpState.CONFIRMED else _TENTATIVE
        told.setdefault(visit.lesson_id, (visit.lesson, "catch-up lesson", status))
    for call in _calls(person):
        told.setdefault(call.lesson_id, (call.lesson, "called to help", _CONFIRMED))
    for lesson, words, status in told.values():
        yield _of_course(address, lesson, words, status, school)
    for private in _private(person):
        yield _of_private(address, private, person, school)


def _own_lessons(person: Person) -> list[LessonSession]:
    """Of courses while the person is in them, and those they stand in front of. Two queries."""
    rows = LessonSession.objects.filter(date__gte=today() - PAST).select_related("course", "room")
    enrolled = "course__enrolments"
    inside = rows.filter(
        Q(**{f"{enrolled}__left__isnull": True}) | Q(**{f"{enrolled}__left__gt": F("date")}),
        **{
            f"{enrolled}__person": person,
            f"{enrolled}__waiting": False,
            f"{enrolled}__joined__lte": F("date"),
        },
    )
    found = {lesson.pk: lesson for lesson in (*inside.in_order(), *rows.taught_by(person).in_order())}
    return list(found.values())


def _visits(person: Person) -> Iterable[CatchUp]:
    rows = CatchUp.objects.holding().filter(person=person, lesson__date__gte=today() - PAST)
    return rows.select_related("lesson__course", "lesson__room").order_by("lesson__date", "pk")


def _calls(person: Person) -> Iterable[HelperCall]:
    rows = HelperCall.objects.filter(person=person, lesson__date__gte=today() - PAST)
    return rows.select_related("lesson__course", "lesson__room").order_by("lesson__date", "pk")


def _private(person: Person) -> Iterable[PrivateLesson]:
    given = Q(instructor=person) & (Q(instructor__in=Person.objects.who_teach()) | Q(date__lt=today()))
    rows = PrivateLesson.objects.filter(Q(person=person) | given, date__gte=today() - PAST)
    return rows.select_related("person", "instructor", "room").order_by("date", "start", "pk")


def _of_course(
    address: CalendarAddress, lesson: LessonSession, words: str, status: str, school: School | None
) -> Event:
    event = _event(address, f"lesson:{lesson.pk}", lesson.begins, lesson.minutes)
    if lesson.is_cancelled:
        event.add("summary", f"No class: {lesson.course.name}")
        words = ". ".join(said for said in (words, lesson.cancelled_because) if said)
    else:
        event.add("summary", lesson.course.name)
    event.add("status", _CANCELLED if lesson.is_cancelled else status)
    event.add("sequence", lesson.revision)
    event.add("dtstamp", lesson.revised_at.astimezone(dt.UTC))
    event.add("last-modified", lesson.revised_at.astimezone(dt.UTC))
    event.add("location", _where(lesson.room.name, school))
    if words:
        event.add("description", words)
    return event


def _of_private(
    address: CalendarAddress, private: PrivateLesson, person: Person, school: School | None
) -> Event:
    begins = dt.datetime.combine(private.date, private.start, tzinfo=timezone.get_current_timezone())
    event = _event(address, f"private:{private.pk}", begins, private.minutes)
    other = private.instructor if person.pk == private.person_id else private.person
    event.add("summary", f"Private lesson with {other.first_name}")
    event.add("status", _CONFIRMED)
    event.add("sequence", private.version - 1)
    event.add("dtstamp", address.made_at.astimezone(dt.UTC))
    event.add("location", _where(private.room.name if private.room else "", school))
    return event


def _event(address: CalendarAddress, what: str, begins: dt.datetime, minutes: int) -> Event:
    """An event with its identifier and its times; so many minutes later, whatever the clocks do meanwhile."""
    event = Event()
    event.add("uid", str(uuid.uuid5(address.events_in, what)))
    start = begins.astimezone(dt.UTC)
    event.add("dtstart", start)
    event.add("dtend", start + dt.timedelta(minutes=minutes))
    return event


def _where(room: str, school: School | None) -> str:
    places = (room, school.name if school else "", school.town if school else "")
    return ", ".join(place for place in places if place)
