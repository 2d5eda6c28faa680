"""Changes to one lesson: cancelled, taking place after all, moved, given to another instructor."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterable
from copy import copy

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from lessons.actions.again import plan_rest_again
from lessons.evening.cast import cast_of
from lessons.models import LessonInstructor, LessonSession
from lessons.problems import spoken_day
from lessons.problems.rows import has_record
from lessons.rules.calendar import NoSuchTime, local_start
from lessons.rules.clashes import Clash, Taken
from lessons.timetable.bookings import clashes_of, said
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
    occasion = f"The lesson of {spoken_day(lesson.date)} is cancelled{f': {because}' if because else ''}."
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=occasion)


def check_move(*, lesson: LessonSession, date: dt.date, start: dt.time, room: Room) -> None:
    """Raise what `move_lesson` would refuse; writes nothing."""
    _refuse_over(lesson)
    refuse_no_such_time(date, start)
    _refuse_closed(date, room)
    there = copy(lesson)
    there.date, there.start, there.room = date, start, room
    _refuse_clash(clashes_of(there))


@transaction.atomic
def move_lesson(*, lesson: LessonSession, date: dt.date, start: dt.time, room: Room, by: Person) -> None:
    """Give the lesson another date, local start or room; it keeps its length and its first date.

    ValidationError at `date`, `start` or `room`: a day without class, a time the clocks jump over, the
    course already meets then, the room is taken, or whoever gives it teaches another lesson then.
    """
    room = _turnstile(lesson, room)
    lesson = _locked(lesson)
    check_move(lesson=lesson, date=date, start=start, room=room)
    logger.info("%s moved the lesson of %s from %s to %s", by, lesson.course, lesson.date, date)
    occasion = f"The lesson of {spoken_day(lesson.date)} moves to {spoken_day(date)}."
    lesson.date, lesson.start, lesson.room = date, start, room
    lesson.save(update_fields=["date", "start", "room"])
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=occasion)


def check_restore(*, lesson: LessonSession) -> None:
    """Raise what `restore_lesson` would refuse; writes nothing."""
    if not lesson.is_cancelled:
        raise ValidationError("This lesson takes place: it is not cancelled.")
    _refuse_closed(lesson.date, lesson.room)
    _refuse_clash(clashes_of(lesson))


@transaction.atomic
def restore_lesson(*, lesson: LessonSession, by: Person) -> None:
    """A cancelled lesson takes place after all, where and when it stood.

    ValidationError where the day is without class, or the course, the room or the instructor is taken then.
    """
    _turnstile(lesson, lesson.room)
    lesson = _locked(lesson)
    check_restore(lesson=lesson)
    lesson.cancelled_at, lesson.cancelled_because, lesson.closure = None, "", None
    lesson.save(update_fields=["cancelled_at", "cancelled_because", "closure"])
    logger.info("%s let the lesson of %s on %s take place after all", by, lesson.course, lesson.date)
    occasion = f"The lesson of {spoken_day(lesson.date)} takes place after all."
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=occasion)


@transaction.atomic
def give_lesson(*, lesson: LessonSession, to: Person, by: Person) -> None:
    """Another instructor stands in front of this lesson, or one of the course's own takes it alone.

    ValidationError at `to`: not an instructor, already alone in front of it, or teaching another lesson then.
    """
    to = Person.objects.select_for_update().get(pk=to.pk)
    lesson = _locked(lesson)
    _refuse_cancelled(lesson)
    if not Person.objects.instructors().filter(pk=to.pk).exists():
        raise ValidationError({"to": f"{to} is not an instructor."})
    if [person.pk for person in cast_of(lesson).instructors] == [to.pk]:
        raise ValidationError({"to": f"{to} gives this lesson already."})
    for clash in clashes_of(lesson, [to]):
        if clash.taken is Taken.INSTRUCTOR:
            raise ValidationError({"to": said(clash)})
    own = set(lesson.course.courseinstructor_set.values_list("person", flat=True))
    LessonInstructor.objects.filter(lesson=lesson).delete()
    # Given back to the course's only instructor it is an ordinary lesson again.
    if own != {to.pk}:
        LessonInstructor.objects.create(lesson=lesson, person=to, covers=to.pk not in own)
    logger.info("%s gave the lesson of %s on %s to %s", by, lesson.course, lesson.date, to)
    occasion = f"{to} gives the lesson of {spoken_day(lesson.date)}."
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=occasion)


def _turnstile(lesson: LessonSession, room: Room) -> Room:
    """The rows of the room and of whoever gives the lesson, ours alone until the transaction ends: of two
    lessons that come to them at once, the second sees the first."""
    people = [person.pk for person in cast_of(lesson).instructors]
    list(Person.objects.select_for_update().filter(pk__in=people).order_by("pk"))
    return Room.objects.select_for_update().get(pk=room.pk)


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


def refuse_no_such_time(date: dt.date, start: dt.time) -> None:
    try:
        local_start(date, start, timezone.get_current_timezone())
    except NoSuchTime as fault:
        raise ValidationError({"start": str(fault)}) from None


def _refuse_closed(date: dt.date, room: Room) -> None:
    closure = Closure.objects.on(date, room)
    if closure is not None:
        raise ValidationError({"date": f"There is no class on {spoken_day(date)}: {closure.reason}."})


def _refuse_clash(found: Iterable[Clash]) -> None:
    fields = {Taken.COURSE: "start", Taken.ROOM: "room", Taken.INSTRUCTOR: "start"}
    refused: dict[str, list[str]] = {}
    for clash in found:
        refused.setdefault(fields[clash.taken], []).append(said(clash))
    if refused:
        raise ValidationError(refused)
