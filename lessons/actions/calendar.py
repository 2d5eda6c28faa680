"""Days without class, beside what else changes the calendar. Nothing that stands moves silently."""

from __future__ import annotations

import datetime as dt
import logging
from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from lessons.actions.again import plan_rest_again
from lessons.actions.changes import cancel_lesson, give_lesson, move_lesson
from lessons.actions.laying_out import lay_out_lessons
from lessons.models import LessonSession, PlanIntroduction, PlanReview, PlanStatus
from lessons.problems import spoken_day
from school.models import Closure, Person, Room

__all__ = [
    "FallsOut",
    "cancel_lesson",
    "close_days",
    "closure_consequences",
    "give_lesson",
    "lay_out_lessons",
    "move_lesson",
]

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class FallsOut:
    """A lesson that a closure cancels, and what its course's published plan has there (figure names)."""

    lesson: LessonSession
    new: tuple[str, ...]
    again: tuple[str, ...]


def closure_consequences(first_day: dt.date, last_day: dt.date, room: Room | None = None) -> list[FallsOut]:
    """The lessons that would fall out, in order, each with what is planned there. Three queries.

    `room`: only lessons in it; None closes the whole school. A lesson already recorded took place.
    """
    lessons = list(
        _open_lessons(first_day, last_day, room)
        .select_related("course", "room")
        .order_by("date", "start", "pk")
    )
    new = _planned(PlanIntroduction.objects.filter(lesson__in=lessons))
    again = _planned(PlanReview.objects.filter(lesson__in=lessons))
    return [FallsOut(lesson, tuple(new[lesson.pk]), tuple(again[lesson.pk])) for lesson in lessons]


@transaction.atomic
def close_days(
    *, first_day: dt.date, last_day: dt.date, reason: str, room: Room | None = None, by: Person
) -> tuple[Closure, list[LessonSession]]:
    """Close the days, once the director has seen `closure_consequences` and confirmed.

    Cancels the lessons on them and returns them; plans keep what they had there, and say that it needs
    another place. ValidationError names the field.
    """
    closure = Closure(first_day=first_day, last_day=last_day, reason=reason, room=room)
    closure.full_clean()
    closure.save()
    lessons = fall_out(closure)
    logger.info("%s closed %s to %s: %d lessons fall out", by, first_day, last_day, len(lessons))
    courses = {lesson.course_id for lesson in lessons}
    since = "on" if first_day == last_day else "from"
    plan_rest_again(courses=courses, by=by, occasion=f"No class {since} {spoken_day(first_day)}: {reason}.")
    return closure, lessons


def fall_out(closure: Closure) -> list[LessonSession]:
    """Cancel the lessons that still stand on the closure's days; return them."""
    lessons = list(_open_lessons(closure.first_day, closure.last_day, closure.room).select_related("course"))
    LessonSession.objects.filter(pk__in=[lesson.pk for lesson in lessons]).update(
        cancelled_at=timezone.now(), cancelled_because=closure.reason, closure=closure
    )
    return lessons


def _open_lessons(first_day: dt.date, last_day: dt.date, room: Room | None) -> QuerySet[LessonSession]:
    lessons = LessonSession.objects.given().without_record().filter(date__range=(first_day, last_day))
    return lessons.filter(room=room) if room else lessons


def _planned(rows: QuerySet) -> dict[int, list[str]]:  # type: ignore[type-arg]
    """Lesson (pk) -> names of the figures the published plans have there, in teaching order."""
    published = rows.filter(plan_figure__plan__status=PlanStatus.PUBLISHED).order_by(
        "plan_figure__figure__level__rank", "plan_figure__figure__order"
    )
    found: dict[int, list[str]] = defaultdict(list)
    for lesson, name in published.values_list("lesson", "plan_figure__figure__name"):
        found[lesson].append(name)
    return found
