"""The list of helpers, and calling one of them for a lesson."""

from __future__ import annotations

import logging
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from curriculum.models import Dance, FloorRole
from lessons.models import Helper, HelperCall, LessonSession
from lessons.people.dancing_then import dances_then
from lessons.problems import spoken_day
from lessons.rules.helpers import can_take
from school import clock
from school.mails import Sent, send
from school.models import Person

logger = logging.getLogger(__name__)


@transaction.atomic
def list_helper(*, person: Person, role: str, dances: Iterable[Dance], by: Person) -> Helper:
    """Somebody may be called from now on, as "L", "F" or "B" (either), in these dances; in all of them where
    none is named. ValidationError for whoever has left."""
    if not person.is_active:
        raise ValidationError(f"{person} has left the school. Give back the tick under roles first.")
    helper, _ = Helper.objects.update_or_create(person=person, defaults={"role": role})
    helper.dances.set(dances)
    logger.info("%s has %s on the list of helpers", by.pk, person.pk)
    return helper


@transaction.atomic
def unlist_helper(*, person: Person, by: Person) -> None:
    """Nobody calls them any more. What they were called for stands. Said twice it is no mistake."""
    if Helper.objects.filter(person=person).delete()[0]:
        logger.info("%s took %s off the list of helpers", by.pk, person.pk)


@transaction.atomic
def call_helper(*, lesson: LessonSession, person: Person, role: str, by: Person) -> HelperCall:
    """Note that a helper was called for a lesson, to lead ("L") or to follow ("F").

    The person is locked, so that of two who call at once the second reads a sentence. ValidationError: they
    are not on the list for this role and dance, dance in the lesson or at that hour already, or it is over.
    """
    person = Person.objects.select_for_update().get(pk=person.pk)
    _refuse_over(lesson)
    helper = Helper.objects.who_dance(lesson.course.dance_id).filter(person=person).first()
    if role not in FloorRole.values or helper is None or not can_take(helper.role, role):
        raise ValidationError(f"{person} is not on the list of helpers for this.")
    if lesson.helper_calls.filter(person=person).exists():
        raise ValidationError(f"{person} is called for this lesson already.")
    for other in dances_then(person, lesson.date, lesson.start, lesson.minutes):
        there = "in this lesson" if other.pk == lesson.pk else f"in {other.course}, {other.start:%H:%M}"
        raise ValidationError(f"{person} dances {there} then already.")
    if LessonSession.objects.taught_by(person).filter(pk=lesson.pk).exists():
        raise ValidationError(f"{person} stands in front of this lesson.")
    call = HelperCall.objects.create(
        lesson=lesson, person=person, role=role, called_by=by, called_at=clock.now()
    )
    logger.info("%s called %s for the lesson %s", by.pk, person.pk, lesson.pk)
    return call


def call_off(*, call: HelperCall, by: Person) -> bool:
    """They are not needed after all. Said twice it is no mistake, and False."""
    was_called = HelperCall.objects.filter(pk=call.pk).delete()[0] > 0
    if was_called:
        logger.info("%s called %s off for the lesson %s", by.pk, call.person_id, call.lesson_id)
    return was_called


def tell_called(*, call: HelperCall, lesson: LessonSession, by: Person) -> Sent:
    """Mail it to them, or to the guardian. Not to be called in a transaction."""
    return send("lessons/helper_called", to=call.person, call=call, lesson=lesson, by=by)


def tell_called_off(*, call: HelperCall, lesson: LessonSession) -> Sent:
    """The same, that they are not needed."""
    return send("lessons/helper_called_off", to=call.person, lesson=lesson)


def _refuse_over(lesson: LessonSession) -> None:
    if lesson.is_cancelled:
        raise ValidationError(f"There is no class on {spoken_day(lesson.date)}.")
    if (
        lesson.date < clock.today()
        or LessonSession.objects.filter(pk=lesson.pk, record__isnull=False).exists()
    ):
        raise ValidationError("This lesson is over.")
