"""Days without class that are changed or taken back, and the lessons that can take place after all."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction

from lessons.actions.again import plan_rest_again
from lessons.actions.calendar import fall_out
from lessons.actions.laying_out import missing_lessons
from lessons.models import Course, LessonSession
from lessons.problems import spoken_day
from lessons.rules.clashes import clashes_of_all
from lessons.timetable.bookings import booking_of, bookings_between, said
from school.clock import today
from school.models import Closure, Person, Room

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class ComesBack:
    """A lesson that fell out, or was never laid out, because of days without class that are so no longer.

    `hindered_by`: why it cannot take place even so.
    """

    lesson: LessonSession
    hindered_by: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """What a form calls it by."""
        lesson = self.lesson
        return str(lesson.pk or f"{lesson.course_id}:{lesson.date}:{lesson.start:%H:%M}")

    @property
    def words(self) -> str:
        lesson = self.lesson
        return f"{lesson.course.name}, {spoken_day(lesson.date)}, {lesson.start:%H:%M}, {lesson.room}"


@dataclass(frozen=True)
class Reopened:
    fallen: tuple[LessonSession, ...]
    back: tuple[LessonSession, ...]


def what_comes_back(closure: Closure, becomes: Closure | None) -> list[ComesBack]:
    """The lessons that `closure`, as it is saved, keeps from taking place and `becomes` would not, in order.

    `becomes`: the same days as they will be, not saved; None where they are taken back. Lessons never laid
    out are offered from today on. A constant number of queries.
    """
    others = list(Closure.objects.exclude(pk=closure.pk))
    standing = [*others, becomes] if becomes else others
    rows = closure.fallen_out.select_related("course", "room").prefetch_related(
        "lessoninstructor_set__person", "course__courseinstructor_set__person"
    )
    fallen = [row for row in rows if becomes is None or not _closes(becomes, row.date, row.room)]
    lessons = sorted([*fallen, *_never_laid(closure, standing)], key=lambda one: (one.date, one.start))
    clashing = _clashing(lessons)
    return [
        ComesBack(lesson, (*_closed(standing, lesson), *clashing.get(number, ())))
        for number, lesson in enumerate(lessons)
    ]


@transaction.atomic
def change_closure(
    *, closure: Closure, becomes: Closure | None, bring_back: Collection[str], by: Person
) -> Reopened:
    """Give days without class other dates, another room or reason, or take them back (`becomes` None).

    `bring_back`: keys of the lessons that take place after all; the others stay cancelled. Lessons that
    stand on newly closed days fall out.
    """
    # The rooms are the turnstile: nobody books one between the look and the write.
    list(Room.objects.select_for_update().order_by("pk"))
    closure = Closure.objects.select_for_update().get(pk=closure.pk)
    back = [
        one.lesson
        for one in what_comes_back(closure, becomes)
        if one.key in bring_back and not one.hindered_by
    ]
    restored = [lesson.pk for lesson in back if lesson.pk]
    LessonSession.objects.filter(pk__in=restored).update(
        cancelled_at=None, cancelled_because="", closure=None
    )
    fallen: list[LessonSession] = []
    if becomes is None:
        closure.delete()
    else:
        becomes.full_clean()
        becomes.save()
        _leave_out(becomes)
        fallen = fall_out(becomes)
    LessonSession.objects.bulk_create(lesson for lesson in back if not lesson.pk)
    logger.info("%s changed days without class: %d lessons back, %d fall out", by, len(back), len(fallen))
    courses = {lesson.course_id for lesson in [*back, *fallen]}
    plan_rest_again(courses=courses, by=by, occasion="Days without class have changed.")
    return Reopened(tuple(fallen), tuple(back))


def _leave_out(closure: Closure) -> None:
    """Lessons it no longer closes stay cancelled on their own; the others learn its reason."""
    for lesson in closure.fallen_out.select_related("room"):
        if _closes(closure, lesson.date, lesson.room):
            lesson.cancelled_because = closure.reason
        else:
            lesson.closure = None
        lesson.save(update_fields=["cancelled_because", "closure"])


def _closes(closure: Closure, day: dt.date, room: Room) -> bool:
    return closure.first_day <= day <= closure.last_day and closure.room_id in {None, room.pk}


def _never_laid(closure: Closure, standing: Sequence[Closure]) -> list[LessonSession]:
    """Lessons of the closure's days that were not laid out because of it. Six queries."""
    courses = Course.objects.filter(
        term__first_day__lte=closure.last_day, term__last_day__gte=closure.first_day, lessons__isnull=False
    ).distinct()
    courses = courses.select_related("term", "dance").prefetch_related(
        "lessons", "meetings__room", "courseinstructor_set__person"
    )
    return [
        lesson
        for course in courses
        for lesson in missing_lessons(course, list(course.meetings.all()), since=today(), closures=standing)
        if _closes(closure, lesson.date, lesson.room)
    ]


def _closed(standing: Iterable[Closure], lesson: LessonSession) -> list[str]:
    return [
        f"There is no class on {spoken_day(lesson.date)}: {closure.reason}."
        for closure in standing
        if _closes(closure, lesson.date, lesson.room)
    ]


def _clashing(lessons: Sequence[LessonSession]) -> dict[int, list[str]]:
    """What each cannot have, by its place in the row. Three queries."""
    if not lessons:
        return {}
    days = [lesson.date for lesson in lessons]
    others = bookings_between(min(days), max(days))
    return {
        number: [said(clash) for clash in clashes_of_all([booking_of(lesson)], others)]
        for number, lesson in enumerate(lessons)
    }
