"""Saving a course: its facts, levels, instructors and meetings, and the lessons that follow from them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.forms import BaseInlineFormSet

from curriculum.models import Level
from lessons.actions.errors import Overtaken
from lessons.actions.laying_out import lay_out_lessons
from lessons.actions.shifts import Shift, make_shifts, shifts_of
from lessons.models import Course, CourseInstructor, CourseLevel, LessonInstructor, LessonSession, Meeting
from school.clock import today
from school.models import Person


@dataclass(frozen=True)
class MeetingsAsked:
    """A course's meetings as a form has them: all that will be, and how they come about.

    `changed`: as it was, as it is now. Those in `everything` are the form's own instances.
    """

    everything: tuple[Meeting, ...]
    added: tuple[Meeting, ...]
    changed: tuple[tuple[Meeting, Meeting], ...]

    def to_lay_out(self, shifts: Sequence[Shift], *, all_anew: bool) -> list[Meeting]:
        """The meetings whose lessons are laid out where they are missing. A changed meeting that has lessons
        to come is not among them: these move along with it, or stay."""
        has_lessons = {(shift.here.date.weekday(), shift.here.start) for shift in shifts}
        follow = [now for before, now in self.changed if (before.weekday, before.start) in has_lessons]
        if all_anew:
            return [meeting for meeting in self.everything if meeting not in follow]
        changed = [now for _, now in self.changed if now not in follow]
        return [*self.added, *changed]


@dataclass(frozen=True)
class Saved:
    """Lessons newly laid out, and lessons that moved along with their meeting."""

    laid: tuple[LessonSession, ...]
    moved: tuple[LessonSession, ...]


def laid_since(course: Course) -> dt.date | None:
    """A new course is laid out from its first lesson on; one that exists gets none in the past."""
    return today() if course.pk else None


@transaction.atomic
def save_course(
    *,
    course: Course,
    version: int | None,
    levels: Iterable[Level],
    instructors: Iterable[Person],
    meetings: BaseInlineFormSet,
    asked: MeetingsAsked,
    all_anew: bool,
    move_lessons: bool,
) -> Saved:
    """Save a checked course with everything that hangs on it.

    `meetings`: a valid formset of the course, and `asked` what it asks for; `all_anew`: every meeting's
    lessons are laid out where they are missing, not only the new ones'. With `move_lessons` the lessons to
    come follow a changed meeting. Overtaken where somebody else saved the course since `version`.
    """
    since = laid_since(course)
    shifts: tuple[Shift, ...] = ()
    if course.pk is not None:
        _take_turn(course, version)
        shifts = shifts_of(course, asked.changed, today=today())
    course.save()
    _set_levels(course, list(levels))
    _set_instructors(course, list(instructors))
    meetings.instance = course
    meetings.save()
    moved = make_shifts(shifts) if move_lessons else []
    laid = lay_out_lessons(course=course, only=asked.to_lay_out(shifts, all_anew=all_anew), since=since)
    return Saved(tuple(laid), tuple(moved))


@transaction.atomic
def remove_course(*, course: Course) -> None:
    """Delete a course in which nothing has happened yet, with its lessons and plans.

    ValidationError where somebody is or was in it, a lesson of it was recorded, or a course goes on from it.
    """
    course = Course.objects.select_for_update().get(pk=course.pk)
    if course.lessons.filter(record__isnull=False).exists():
        raise ValidationError("A lesson of this course has been recorded: it stays in the records.")
    if course.enrolments.exists():
        raise ValidationError("Somebody is or was in this course: it stays in the records.")
    if course.continued_by.exists():
        raise ValidationError(f"{course.continued_by.first()} goes on from this course.")
    # Plans first: they hold on to the lessons they speak of.
    course.plans.all().delete()
    course.delete()


def _take_turn(course: Course, version: int | None) -> None:
    """Raise the course's version, by one conditional UPDATE: of two who save at once, one is told."""
    if not Course.objects.filter(pk=course.pk, version=version).update(version=F("version") + 1):
        raise Overtaken("Somebody else changed this course while you had it open.")
    course.version = (version or 0) + 1


def _set_levels(course: Course, levels: list[Level]) -> None:
    CourseLevel.objects.filter(course=course).exclude(level__in=levels).delete()
    held = set(CourseLevel.objects.filter(course=course).values_list("level", flat=True))
    CourseLevel.objects.bulk_create(
        CourseLevel(course=course, level=level) for level in levels if level.pk not in held
    )


def _set_instructors(course: Course, instructors: list[Person]) -> None:
    taken_out = CourseInstructor.objects.filter(course=course).exclude(person__in=instructors)
    if taken_out.exists():
        _keep_who_taught(course)
    taken_out.delete()
    held = set(CourseInstructor.objects.filter(course=course).values_list("person", flat=True))
    CourseInstructor.objects.bulk_create(
        CourseInstructor(course=course, person=person) for person in instructors if person.pk not in held
    )


def _keep_who_taught(course: Course) -> None:
    """Lessons that are over keep the names of those who taught the course then, whoever teaches it after."""
    over = course.lessons.given().filter(date__lt=today(), lessoninstructor__isnull=True)
    people = list(
        CourseInstructor.objects.filter(course=course).order_by("pk").values_list("person", flat=True)
    )
    LessonInstructor.objects.bulk_create(
        LessonInstructor(lesson=lesson, person_id=person, covers=False)
        for lesson in over
        for person in people
    )
