"""Who dances in a lesson, those who come to catch up too, as the rule of places counts them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.db.models import Exists, OuterRef

from lessons.models import CatchUp, Course, Enrolment, LessonSession
from lessons.rules.places import Floor, couple_has_place, places_free


def floors_on(lessons: Sequence[LessonSession]) -> dict[int, Floor]:
    """Lesson (pk) -> who is enrolled on its day, and who holds a place to catch up. Two queries, or none."""
    if not lessons:
        return {}
    enrolled = list(Enrolment.objects.filter(course__in={row.course_id for row in lessons}, waiting=False))
    own = Enrolment.objects.filter(
        course=OuterRef("missed__course"), person=OuterRef("person"), dances_both=True, waiting=False
    )
    holding = CatchUp.objects.holding().filter(lesson__in=lessons).annotate(dances_both=Exists(own))
    visitors: dict[int, list[CatchUp]] = {}
    for visitor in holding.order_by("pk"):
        visitors.setdefault(visitor.lesson_id, []).append(visitor)
    return {
        lesson.pk: _floor([*_on_the_day(lesson, enrolled), *visitors.get(lesson.pk, ())])
        for lesson in lessons
    }


def places_for(course: Course, floor: Floor, role: str, *, dances_both: bool) -> int:
    """How many more in `role` ("L" or "F") could come one after the other. No query."""
    return places_free(
        floor,
        role,
        dances_both=dances_both,
        places=course.places_leaders if role == "L" else course.places_followers,
        allowed_difference=course.allowed_difference,
    )


def places_for_two(course: Course, floor: Floor) -> bool:
    """Whether a couple could come together. No query."""
    return couple_has_place(
        floor, places_leaders=course.places_leaders, places_followers=course.places_followers
    )


def _on_the_day(lesson: LessonSession, enrolled: Iterable[Enrolment]) -> Iterable[Enrolment]:
    return (
        row
        for row in enrolled
        if row.course_id == lesson.course_id
        and row.joined <= lesson.date
        and (row.left is None or row.left > lesson.date)
    )


def _floor(dancing: Iterable[Enrolment | CatchUp]) -> Floor:
    floor = Floor(0, 0)
    for row in dancing:
        floor = floor.with_one_more(row.role, dances_both=row.dances_both)
    return floor
