"""Private lessons as pages read them: the list of who gives them, and a student's own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lessons.actions.private import learnt_privately
from lessons.models import PrivateLesson
from school.clock import today
from school.models import Person

# What a student's page shows of what has been; the list shows as many in one go.
SHOWN = 5
LISTED = 100


@dataclass(frozen=True)
class PrivateList:
    """coming: the next first; been: the last first; unwritten: those of them of which nothing is written."""

    coming: tuple[PrivateLesson, ...]
    been: tuple[PrivateLesson, ...]
    unwritten: frozenset[int]


@dataclass(frozen=True)
class MyPrivate:
    """A student's own. learnt: figure (pk) -> the day it was new in a private lesson."""

    coming: tuple[PrivateLesson, ...]
    been: tuple[PrivateLesson, ...]
    learnt: dict[int, dt.date]


def private_list(reader: Person) -> PrivateList:
    """The director's whole school, an instructor's own. Four queries, however many there are."""
    coming, been = _split(PrivateLesson.objects.for_staff(reader).for_page(), LISTED)
    unwritten = frozenset(lesson.pk for lesson in been if not is_written(lesson))
    return PrivateList(coming, been, unwritten)


def my_private(person: Person) -> MyPrivate:
    """Five queries at most, however many there are."""
    coming, been = _split(PrivateLesson.objects.filter(person=person).for_page(), SHOWN)
    return MyPrivate(coming, been, learnt_privately(person))


def is_written(lesson: PrivateLesson) -> bool:
    """Whether anything is written of it. Reads its figures: fetch them."""
    return bool(lesson.homework) or any(row.outcome for row in lesson.worked_on.all())


def _split(
    lessons: Iterable[PrivateLesson], most: int
) -> tuple[tuple[PrivateLesson, ...], tuple[PrivateLesson, ...]]:
    """Those from today on, and the last `most` of those before."""
    coming = lessons.filter(date__gte=today()).order_by("date", "start", "pk")  # type: ignore[attr-defined]
    been = lessons.filter(date__lt=today()).order_by("-date", "-start", "pk")  # type: ignore[attr-defined]
    return tuple(coming), tuple(been[:most])
