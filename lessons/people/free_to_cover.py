"""Who could stand in front of a lesson, and what keeps the others from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Q

from lessons.models import Away, LessonSession, TeachesNot
from lessons.rules.clashes import Taken, clashes
from lessons.timetable.bookings import booking_of, bookings_between
from school.models import Person


@dataclass(frozen=True)
class Candidate:
    """hindered: why not, in words for behind the name; empty for whoever is free."""

    person: Person
    hindered: str


def free_to_cover(lesson: LessonSession) -> tuple[Candidate, ...]:
    """All instructors, whoever is free first, each group by name. Seven queries at most."""
    people = list(Person.objects.instructors().order_by("name", "pk"))
    hindered: dict[int, str] = {}
    for pk, words in _hindrances(lesson, people):
        hindered.setdefault(pk, words)
    found = [Candidate(person, hindered.get(person.pk, "")) for person in people]
    return tuple(sorted(found, key=lambda one: bool(one.hindered)))


def _hindrances(lesson: LessonSession, people: list[Person]) -> Iterator[tuple[int, str]]:
    """(person, why not), the weightier first: not there, teaching then, not teaching this."""
    away = Away.objects.filter(first_day__lte=lesson.date, last_day__gte=lesson.date)
    yield from ((pk, "away") for pk in away.values_list("person", flat=True))
    wanted = booking_of(lesson, people)
    by_name = {person.name: person.pk for person in people}
    for clash in clashes(wanted, bookings_between(lesson.date, lesson.date)):
        if clash.taken is Taken.INSTRUCTOR:
            other = "a private lesson" if clash.other.private else clash.other.course_name
            yield by_name[clash.who], f"{other} at {clash.other.begins:%H:%M}"
    course = lesson.course
    levels = Q(level__in=course.levels.all()) | Q(level=None)
    refused = TeachesNot.objects.filter(levels, dance=course.dance_id, figure=None).select_related("level")
    for row in refused:
        what = f"{course.dance.name} {row.level.name}" if row.level else course.dance.name
        yield row.person_id, f"does not teach {what}"
