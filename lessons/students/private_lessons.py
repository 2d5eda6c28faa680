"""Private lessons as pages read them: the list of who gives them, their day, and a student's own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from lessons.actions.private import learnt_privately
from lessons.models import PrivateFigure, PrivateLesson
from lessons.models.private import PrivateLessonQuerySet
from school.clock import today
from school.models import Person

# What a student's page shows of what has been; the list shows as many in one go; today's page what comes.
SHOWN = 5
LISTED = 100
COMING = 3


@dataclass(frozen=True)
class PrivateList:
    """coming: the next first; been: the last first; unwritten: those of them of which nothing is written;
    set_before: person (pk) -> the lesson, up to today, in which they were last given homework."""

    coming: tuple[PrivateLesson, ...]
    been: tuple[PrivateLesson, ...]
    unwritten: frozenset[int]
    set_before: dict[int, PrivateLesson]


@dataclass(frozen=True)
class PrivateDay:
    """What an instructor gives today and next, and how many of those given are not written up."""

    today: tuple[PrivateLesson, ...]
    coming: tuple[PrivateLesson, ...]
    unwritten: int


@dataclass(frozen=True)
class MyPrivate:
    """A student's own. learnt: figure (pk) -> the day it was new in a private lesson."""

    coming: tuple[PrivateLesson, ...]
    been: tuple[PrivateLesson, ...]
    learnt: dict[int, dt.date]


def private_list(reader: Person) -> PrivateList:
    """The director's whole school, an instructor's own. Five queries, however many there are."""
    coming, been = _split(PrivateLesson.objects.for_staff(reader).for_page(), LISTED)
    unwritten = frozenset(lesson.pk for lesson in been if not is_written(lesson))
    asked = PrivateLesson.objects.for_staff(reader).filter(person__in={lesson.person_id for lesson in coming})
    return PrivateList(coming, been, unwritten, _last_homework(asked) if coming else {})


def private_day(instructor: Person) -> PrivateDay:
    """What they give themselves. Five queries, however many there are."""
    own = PrivateLesson.objects.filter(instructor=instructor).for_page()
    to_come = own.filter(date__gte=today()).order_by("date", "start", "pk")
    blank = own.filter(date__lt=today(), homework="").exclude(worked_on__outcome__gt="")
    return PrivateDay(
        today=tuple(to_come.filter(date=today())),
        coming=tuple(to_come.filter(date__gt=today())[:COMING]),
        unwritten=blank.count(),
    )


def homework_before(lesson: PrivateLesson) -> PrivateLesson | None:
    """The lesson of the same person before this one in which homework was last given. One query."""
    earlier = PrivateLesson.objects.filter(person=lesson.person, instructor=lesson.instructor)
    at = Q(date__lt=lesson.date) | Q(date=lesson.date, start__lt=lesson.start)
    return earlier.filter(at).exclude(homework="").order_by("-date", "-start", "-pk").first()


def my_private(person: Person, *, dance: int | None = None, other_dances: Collection[int] = ()) -> MyPrivate:
    """Without those that worked on `other_dances` (pk), which have a page of their own, and not on `dance`.
    Five queries at most, however many there are."""
    own = PrivateLesson.objects.filter(person=person)
    if elsewhere := set(other_dances) - {dance}:
        worked_on = PrivateFigure.objects.filter(lesson=OuterRef("pk"))
        of_it = Exists(worked_on.filter(figure__dance=dance))
        own = own.filter(of_it | ~Exists(worked_on.filter(figure__dance__in=elsewhere)))
    coming, been = _split(own.for_page(), SHOWN)
    return MyPrivate(coming, been, learnt_privately(person))


def is_written(lesson: PrivateLesson) -> bool:
    """Whether anything is written of it. Reads its figures: fetch them."""
    return bool(lesson.homework) or any(row.outcome for row in lesson.worked_on.all())


def homework_of(person: Person, dance: int) -> PrivateLesson | None:
    """The last lesson, up to today, in which a student was given homework, unless it was on figures of other
    dances (pk) alone. With its instructor; one query."""
    given = PrivateLesson.objects.filter(person=person, date__lte=today()).exclude(homework="")
    fits = Q(worked_on__isnull=True) | Q(worked_on__figure__dance=dance)
    rows = given.filter(fits).select_related("instructor").order_by("-date", "-start", "-pk")
    return rows.first()


def my_private_today(person: Person) -> tuple[PrivateLesson, ...]:
    """A student's own of today, in order; two queries, or one."""
    own = PrivateLesson.objects.filter(person=person, date=today()).for_page()
    return tuple(own.order_by("start", "pk"))


def _last_homework(lessons: PrivateLessonQuerySet) -> dict[int, PrivateLesson]:
    """Person (pk) -> the last lesson, up to today, that gave homework. One query."""
    given = lessons.filter(date__lte=today()).exclude(homework="").order_by("date", "start", "pk")
    return {lesson.person_id: lesson for lesson in given}


def _split(
    lessons: PrivateLessonQuerySet, most: int
) -> tuple[tuple[PrivateLesson, ...], tuple[PrivateLesson, ...]]:
    """Those from today on, and the last `most` of those before. One of today that is written up has been."""
    told = Q(homework__gt="") | Exists(PrivateFigure.objects.filter(lesson=OuterRef("pk"), outcome__gt=""))
    has_been = Q(date__lt=today()) | Q(date=today()) & told
    coming = lessons.filter(date__gte=today()).exclude(has_been).order_by("date", "start", "pk")
    been = lessons.filter(has_been).order_by("-date", "-start", "pk")
    return tuple(coming), tuple(been[:most])
