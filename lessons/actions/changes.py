"""Changes to one lesson: cancelled, moved, given to another instructor. Lessons are never deleted."""

from __future__ import annotations

import datetime as dt
import logging

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from lessons.models import LessonInstructor, LessonSession
from lessons.problems import spoken_day
from lessons.problems.rows import has_record
from lessons.rules.calendar import NoSuchTime, local_start
from school.models import Closure, Person, Room

logger = logging.getLogger(__name__)


@transaction.atomic
def cancel_lesson(*, lesson: LessonSession, because: str, by: Person) -> None:
    """The lesson does not take place. What was planned there stays in the plan, and the check names it."""
    lesson = _locked(lesson)
    _refuse_over(lesson)
    lesson.cancelled_at = timezone.now()
    lesson.cancelled_because = because
    lesson.full_clean(validate_constraints=False)
    lesson.save(update_fields=["cancelled_at", "cancelled_because"])
    logger.info("%s cancelled the lesson of %s on %s", by, lesson.course, lesson.date)


@transaction.atomic
def move_lesson(*, lesson: LessonSession, date: dt.date, start: dt.time, room: Room, by: Person) -> None:
    """Give the lesson another date, local start or room; it keeps its length and its first date.

    ValidationError at `date`, `start` or `room`: a day without class, a time the clocks jump over, the
    course already meets then, or the room is taken.
    """
    # The room's row is the turnstile: of two lessons moved into it at once, the second sees the first.
    room = Room.objects.select_for_update().get(pk=room.pk)
    lesson = _locked(lesson)
    _refuse_over(lesson)
    _refuse_no_such_time(date, start)
    _refuse_closed(date, room)
    others = LessonSession.objects.given().exclude(pk=lesson.pk).select_related("course", "room")
    clash = _overlapping(others.filter(course=lesson.course_id), date, start, lesson.minutes)
    if clash is not None:
        raise ValidationError({"start": f"The course has a lesson then already: {_when(clash)}."})
    clash = _overlapping(others.filter(room=room), date, start, lesson.minutes)
    if clash is not None:
        raise ValidationError({"room": f"{room} is taken then: {clash.course}, {_when(clash)}."})
    logger.info("%s moved the lesson of %s from %s to %s", by, lesson.course, _when(lesson), date)
    lesson.date, lesson.start, lesson.room = date, start, room
    lesson.save(update_fields=["date", "start", "room"])


@transaction.atomic
def give_lesson(*, lesson: LessonSession, to: Person, by: Person) -> None:
    """Another instructor stands in front of this lesson, or one of the course's own takes it alone.

    ValidationError at `to`: not an instructor, or teaching another lesson at that time.
    """
    to = Person.objects.select_for_update().get(pk=to.pk)
    lesson = _locked(lesson)
    _refuse_cancelled(lesson)
    if not Person.objects.instructors().filter(pk=to.pk).exists():
        raise ValidationError({"to": f"{to} is not an instructor."})
    others = LessonSession.objects.given().exclude(pk=lesson.pk).taught_by(to)
    clash = _overlapping(others.select_related("course", "room"), lesson.date, lesson.start, lesson.minutes)
    if clash is not None:
        raise ValidationError({"to": f"{to} teaches then already: {clash.course}, {_when(clash)}."})
    own = set(lesson.course.courseinstructor_set.values_list("person", flat=True))
    LessonInstructor.objects.filter(lesson=lesson).delete()
    # Given back to the course's only instructor it is an ordinary lesson again.
    if own != {to.pk}:
        LessonInstructor.objects.create(lesson=lesson, person=to, covers=to.pk not in own)
    logger.info("%s gave the lesson of %s on %s to %s", by, lesson.course, lesson.date, to)


def _locked(lesson: LessonSession) -> LessonSession:
    """The lesson as it stands now, ours alone until the transaction ends."""
    LessonSession.objects.select_for_update().get(pk=lesson.pk)
    lesson.refresh_from_db()
    return lesson


def _refuse_cancelled(lesson: LessonSession) -> None:
    if lesson.is_cancelled:
        raise ValidationError("This lesson was cancelled already.")


def _refuse_over(lesson: LessonSession) -> None:
    _refuse_cancelled(lesson)
    if has_record(lesson):
        raise ValidationError("This lesson has been recorded: it took place as it stands.")


def _refuse_no_such_time(date: dt.date, start: dt.time) -> None:
    try:
        local_start(date, start, timezone.get_current_timezone())
    except NoSuchTime as fault:
        raise ValidationError({"start": str(fault)}) from None


def _refuse_closed(date: dt.date, room: Room) -> None:
    closures = Closure.objects.filter(Q(room=None) | Q(room=room), first_day__lte=date, last_day__gte=date)
    closure = closures.first()
    if closure is not None:
        raise ValidationError({"date": f"There is no class on {spoken_day(date)}: {closure.reason}."})


def _overlapping(
    lessons: QuerySet[LessonSession], date: dt.date, start: dt.time, minutes: int
) -> LessonSession | None:
    """The first of the lessons that shares a minute with this time, by the wall clock.

    The days beside are read too: a late lesson may run past midnight.
    """
    begins = dt.datetime.combine(date, start)
    ends = begins + dt.timedelta(minutes=minutes)
    day = dt.timedelta(days=1)
    for other in lessons.filter(date__range=(date - day, date + day)).order_by("date", "start"):
        other_begins = dt.datetime.combine(other.date, other.start)
        if other_begins < ends and begins < other_begins + dt.timedelta(minutes=other.minutes):
            return other
    return None


def _when(lesson: LessonSession) -> str:
    return f"{spoken_day(lesson.date)}, {lesson.start:%H:%M} to {lesson.end:%H:%M}"
