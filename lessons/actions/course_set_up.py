"""Saving a course: its facts, levels, instructors and meetings, and the lessons that follow from them."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.forms import BaseInlineFormSet

from curriculum.models import Level
from lessons.actions.calendar import lay_out_lessons
from lessons.models import Course, CourseInstructor, CourseLevel, LessonSession
from school.models import Person


@transaction.atomic
def save_course(
    *, course: Course, levels: Iterable[Level], instructors: Iterable[Person], meetings: BaseInlineFormSet
) -> list[LessonSession]:
    """Save a checked course with everything that hangs on it; return the lessons newly laid out.

    `meetings`: a valid formset of the course. Lessons that stand are not touched by a changed meeting:
    they are moved one by one.
    """
    course.save()
    _set_levels(course, list(levels))
    _set_instructors(course, list(instructors))
    meetings.instance = course
    meetings.save()
    return lay_out_lessons(course=course)


def _set_levels(course: Course, levels: list[Level]) -> None:
    CourseLevel.objects.filter(course=course).exclude(level__in=levels).delete()
    held = set(CourseLevel.objects.filter(course=course).values_list("level", flat=True))
    CourseLevel.objects.bulk_create(
        CourseLevel(course=course, level=level) for level in levels if level.pk not in held
    )


def _set_instructors(course: Course, instructors: list[Person]) -> None:
    CourseInstructor.objects.filter(course=course).exclude(person__in=instructors).delete()
    held = set(CourseInstructor.objects.filter(course=course).values_list("person", flat=True))
    CourseInstructor.objects.bulk_create(
        CourseInstructor(course=course, person=person) for person in instructors if person.pk not in held
    )
