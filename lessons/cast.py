"""Who stands in front of a lesson, and who dances in it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models import Enrolment, LessonSession
from school.models import Person


@dataclass(frozen=True)
class Cast:
    """instructors: in front of the lesson; covers: they were named for this lesson, not for its course."""

    instructors: tuple[Person, ...]
    covers: bool
    enrolments: tuple[Enrolment, ...]

    @property
    def leaders(self) -> list[Enrolment]:
        return [row for row in self.enrolments if row.role == FloorRole.LEADER]

    @property
    def followers(self) -> list[Enrolment]:
        return [row for row in self.enrolments if row.role == FloorRole.FOLLOWER]


def cast_of(lesson: LessonSession) -> Cast:
    """Two or three queries."""
    named = [
        row.person for row in lesson.lessoninstructor_set.select_related("person").order_by("person__name")
    ]
    course = () if named else lesson.course.courseinstructor_set.select_related("person").order_by("pk")
    return Cast(
        instructors=tuple(named or (row.person for row in course)),
        covers=bool(named),
        enrolments=tuple(dancers_of(lesson)),
    )


def people_in(cast: Cast) -> int:
    """How many are expected in the room: dancers and those in front."""
    return len(cast.enrolments) + len(cast.instructors)


def dancers_of(lesson: LessonSession) -> list[Enrolment]:
    """Enrolled on the day of the lesson, by name; not those on the waiting list. One query."""
    there = Q(left__isnull=True) | Q(left__gt=lesson.date)
    rows = Enrolment.objects.filter(
        there, course=lesson.course_id, waiting=False, joined__lte=lesson.date
    ).select_related("person")
    return list(rows.order_by("person__name", "pk"))
