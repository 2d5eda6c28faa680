"""Who stands in front of a lesson, and who dances in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from curriculum.models import FloorRole
from lessons.models import Away, Enrolment, HelperCall, LessonSession
from lessons.rules.absence import InFront, why_not
from school.clock import today
from school.models import Person


@dataclass(frozen=True)
class Cast:
    """front: who stands in front of the lesson, and who was named for it and does not; covers: somebody
    was named for this lesson who does not teach its course."""

    front: InFront[Person]
    covers: bool
    enrolments: tuple[Enrolment, ...]

    @property
    def instructors(self) -> tuple[Person, ...]:
        """In front of the lesson: not whoever is away then, has left, or is an instructor no more."""
        return self.front.there

    @property
    def leaders(self) -> list[Enrolment]:
        return [row for row in self.enrolments if row.role == FloorRole.LEADER]

    @property
    def followers(self) -> list[Enrolment]:
        return [row for row in self.enrolments if row.role == FloorRole.FOLLOWER]


def cast_of(lesson: LessonSession) -> Cast:
    """Two or three queries."""
    away = Away.objects.filter(
        person=OuterRef("person"), first_day__lte=lesson.date, last_day__gte=lesson.date
    )
    named, usual = (
        rows.with_person().annotate(is_away=Exists(away))
        for rows in (lesson.lessoninstructor_set, lesson.course.courseinstructor_set)
    )
    own = list(named.order_by("person__name"))
    people = [
        (
            row.person,
            why_not(
                has_left=not row.person.is_active,
                teaches=row.teaches,
                is_away=row.is_away,
                is_over=lesson.date < today(),
            ),
        )
        for row in own or usual.order_by("pk")
    ]
    return Cast(
        InFront.of(people), covers=any(row.covers for row in own), enrolments=tuple(dancers_of(lesson))
    )


def people_in(cast: Cast, called: Iterable[HelperCall]) -> int:
    """How many are expected in the room: dancers, those in front, and helpers who were called; each once."""
    dancing = {row.person_id for row in (*cast.enrolments, *called)}
    return len(dancing | {person.pk for person in cast.instructors})


def dancers_of(lesson: LessonSession) -> list[Enrolment]:
    """Enrolled on the day of the lesson, by name; not those on the waiting list. One query."""
    there = Q(left__isnull=True) | Q(left__gt=lesson.date)
    rows = Enrolment.objects.filter(
        there, course=lesson.course_id, waiting=False, joined__lte=lesson.date
    ).select_related("person")
    return list(rows.order_by("person__name", "pk"))
