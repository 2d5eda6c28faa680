"""Private lessons: laid on, changed, written up, taken out."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterable, Mapping

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Q

from curriculum.models import Figure
from lessons.actions.errors import Overtaken
from lessons.actions.records import NOT_BEGUN
from lessons.models import Outcome, PrivateFigure, PrivateLesson
from lessons.problems import spoken_day
from lessons.rules.clashes import DAY, Taken, clashes
from lessons.timetable.bookings import bookings_between, private_booking_of, said
from school import clock
from school.models import Person, Room

logger = logging.getLogger(__name__)

# (what became of it or "", how it went or "", note)
PrivateOutcome = tuple[str, str, str]
_FIELD_OF = {Taken.ROOM: "room", Taken.INSTRUCTOR: "start", Taken.COURSE: "start"}
_CHANGED = (
    "Somebody changed this private lesson while you had it open. Nothing of yours is saved yet; it stands "
    "below as you typed it. Press again to put yours in place of theirs."
)


@transaction.atomic
def save_private(*, lesson: PrivateLesson, version: int, figures: Iterable[Figure], by: Person) -> None:
    """Lay the lesson on, or change when, with whom and on what. What was written of a figure stays with it.

    `version`: of the lesson the writer was looking at, 0 for a new one. Raises Overtaken where somebody wrote
    in between; ValidationError where the instructor, the person or the room is taken then.
    """
    _turnstile(lesson)
    _refuse_clashes(lesson)
    if lesson.pk:
        _take(lesson, version)
        lesson.version = version + 1
    try:
        with transaction.atomic():
            lesson.save()
    except IntegrityError:
        raise ValidationError(
            {"start": f"{lesson.instructor} gives a private lesson then already."}
        ) from None
    wanted = {figure.pk for figure in figures}
    lesson.worked_on.exclude(figure__in=wanted).delete()
    there = set(lesson.worked_on.values_list("figure", flat=True))
    PrivateFigure.objects.bulk_create(
        PrivateFigure(lesson=lesson, figure_id=figure) for figure in sorted(wanted - there)
    )
    logger.info("%s laid on private lesson %s", by.pk, lesson.pk)


@transaction.atomic
def record_private(
    *,
    lesson: PrivateLesson,
    version: int,
    outcomes: Mapping[int, PrivateOutcome],
    homework: str,
    by: Person,
    early: bool = False,
) -> None:
    """Write what became of each figure (pk) of the lesson. It counts for the person, never for a course.

    `early`: it has taken place already, though its hour has not come. Raises Overtaken where somebody wrote
    in between; ValidationError for a lesson yet to come.
    """
    if lesson.date > clock.today():
        day = spoken_day(lesson.date)
        raise ValidationError(f"This private lesson is on {day}. Write it up once it has been given.")
    if not early and (asked := asks_early(lesson)):
        raise ValidationError(asked, code=NOT_BEGUN)
    _take(lesson, version)
    PrivateLesson.objects.filter(pk=lesson.pk).update(homework=homework)
    rows = list(lesson.worked_on.filter(figure__in=outcomes))
    for row in rows:
        row.outcome, row.went, row.note = outcomes[row.figure_id]
    PrivateFigure.objects.bulk_update(rows, ["outcome", "went", "note"])
    logger.info("%s wrote up private lesson %s", by.pk, lesson.pk)


def asks_early(lesson: PrivateLesson) -> str:
    """Why somebody has to say that it has taken place already: its hour has not come, and nothing is written
    of it yet. One query at most."""
    if clock.now() >= lesson.begins or _is_written(lesson):
        return ""
    return (
        f"This private lesson begins at {lesson.start:%H:%M}. Write it up from then on; "
        "if it has taken place already, tick that and write it up now."
    )


@transaction.atomic
def remove_private(*, lesson: PrivateLesson, version: int, by: Person) -> None:
    """Take out a lesson that will not be given. Raises ValidationError where something is written of it."""
    _take(lesson, version)
    if _is_written(lesson):
        raise ValidationError("Something is written of this lesson already; it stays.")
    lesson.delete()
    logger.info("%s took out a private lesson", by.pk)


def learnt_privately(person: Person) -> dict[int, dt.date]:
    """Figure (pk) -> the first day it was new and learnt in a private lesson of theirs. One query."""
    rows = PrivateFigure.objects.filter(lesson__person=person, outcome=Outcome.INTRODUCED)
    days: dict[int, dt.date] = {}
    for figure, day in rows.order_by("lesson__date", "pk").values_list("figure", "lesson__date"):
        days.setdefault(figure, day)
    return days


def _is_written(lesson: PrivateLesson) -> bool:
    return bool(lesson.homework) or lesson.worked_on.exclude(outcome="").exists()


def _take(lesson: PrivateLesson, version: int) -> None:
    ours = PrivateLesson.objects.filter(pk=lesson.pk, version=version)
    if not ours.update(version=F("version") + 1):
        raise Overtaken(_CHANGED)


def _turnstile(lesson: PrivateLesson) -> None:
    """The rows of both people and of the room, ours alone until the transaction ends: of two lessons that
    come to them at once, private or of a course, the second sees the first."""
    people = [lesson.instructor_id, lesson.person_id]
    list(Person.objects.select_for_update().filter(pk__in=people).order_by("pk"))
    list(Room.objects.select_for_update().filter(pk=lesson.room_id))


def _refuse_clashes(lesson: PrivateLesson) -> None:
    """Against the courses' lessons and against other private ones. Seven queries at most."""
    wanted = private_booking_of(lesson)
    found = clashes(wanted, bookings_between(lesson.date, lesson.date))
    refused = {_FIELD_OF[clash.taken]: said(clash) for clash in reversed(found)}
    theirs = PrivateLesson.objects.filter(
        Q(person=lesson.person) | Q(instructor=lesson.person) | Q(person=lesson.instructor),
        date__range=(lesson.date - DAY, lesson.date + DAY),
    )
    for other in theirs.exclude(pk=lesson.pk).select_related("person", "instructor", "room"):
        there = private_booking_of(other)
        if wanted.overlaps(there):
            is_dancer = lesson.person_id in {other.person_id, other.instructor_id}
            field, who = ("person", lesson.person) if is_dancer else ("start", lesson.instructor)
            refused.setdefault(field, f"{who} is in a private lesson then: {there.hours}.")
    if refused:
        raise ValidationError(refused)
