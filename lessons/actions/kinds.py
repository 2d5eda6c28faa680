"""What kind of lesson it is, and who of two instructors shows and leads."""

from __future__ import annotations

import logging

from django.core.exceptions import ValidationError
from django.db import transaction

from lessons.actions.again import plan_rest_again
from lessons.evening.cast import cast_of
from lessons.models import LessonKind, LessonSession, TeachingPair
from lessons.problems.wording import spoken_day
from school.models import Person

logger = logging.getLogger(__name__)


@transaction.atomic
def set_kind(*, lesson: LessonSession, kind: str, by: Person) -> None:
    """Nothing planned there is moved: the plan's check names what no longer fits, and a published plan that
    does not hold any more is planned again and offered.

    ValidationError at `kind` for one that is none, and for a lesson that was cancelled.
    """
    lesson = LessonSession.objects.select_for_update().get(pk=lesson.pk)
    if kind not in LessonKind.values:
        raise ValidationError({"kind": "Choose a kind of lesson."})
    if lesson.is_cancelled:
        raise ValidationError("This lesson was cancelled already.")
    lesson.kind = kind
    lesson.save(update_fields=["kind"])
    logger.info("%s made the lesson %s a lesson of kind %s", by.pk, lesson.pk, kind)
    said = f"The lesson of {spoken_day(lesson.date)} is of another kind: {lesson.get_kind_display()}."
    plan_rest_again(courses=[lesson.course_id], by=by, occasion=said)


def set_teaching_pair(*, lesson: LessonSession, shows: Person, leads: Person) -> TeachingPair:
    """Who shows and who leads tonight. ValidationError at the field of somebody not in front of it."""
    in_front = {person.pk for person in cast_of(lesson).instructors}
    for field, person in (("shows", shows), ("leads", leads)):
        if person.pk not in in_front:
            raise ValidationError({field: f"{person} is not in front of this lesson."})
    pair, _ = TeachingPair.objects.update_or_create(lesson=lesson, defaults={"shows": shows, "leads": leads})
    return pair
