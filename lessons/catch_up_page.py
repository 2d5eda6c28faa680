"""What a student missed, and where the parallel course teaches or reviews it while there is a place; and what
those in front of a lesson read of who comes to catch up."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import Q

from curriculum.models import Figure, FloorRole
from lessons.actions.catch_ups import WITHIN
from lessons.cast import Cast, cast_of
from lessons.models import (
    Attendance,
    CatchUp,
    CatchUpState,
    Course,
    Enrolment,
    LessonSession,
    Outcome,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
)
from lessons.models.sessions import LessonQuerySet
from lessons.my_level import danced_again
from school.clock import now, today
from school.models import Person

NEW_THERE, AGAIN_THERE = "new", "again"


@dataclass(frozen=True)
class Offer:
    """A lesson of a parallel course that does some of what was missed. does: (figure, "new" or "again");
    asked: the student's own request, if there is one."""

    lesson: LessonSession
    does: tuple[tuple[Figure, str], ...]
    places: int
    asked: CatchUp | None

    @property
    def may_ask(self) -> bool:
        return self.places > 0 and (self.asked is None or self.asked.state == "withdrawn")


@dataclass(frozen=True)
class MissedLesson:
    """A lesson the student was not in: what it taught, and of that what they have not made good for."""

    lesson: LessonSession
    taught: tuple[RecordedFigure, ...]
    open_figures: tuple[Figure, ...]
    offers: tuple[Offer, ...]


@dataclass(frozen=True)
class WhatIMissed:
    """role: of the student in the course, "L" or "F"; parallel: names of the courses kept in step with it;
    again: figure (pk) -> when they last danced it as a review in the course itself."""

    lessons: tuple[MissedLesson, ...]
    role: str
    parallel: tuple[str, ...]
    again: dict[int, dt.date]


def what_i_missed(course: Course, person: Person) -> WhatIMissed:
    """Lessons written up that the student was not in, newest first. At most thirteen queries."""
    enrolled = (
        Enrolment.objects.filter(course=course, person=person, waiting=False).order_by("-joined").first()
    )
    role = enrolled.role if enrolled else FloorRole.LEADER.value
    missed = _missed(course, person)
    seen = _seen(course, person)
    parallel = _parallel(course)
    coming = _coming(parallel)
    does = _does(coming)
    places = _places(coming, role)
    asked = {row.lesson_id: row for row in CatchUp.objects.filter(person=person, lesson__in=coming)}
    lines = []
    for lesson, figures in missed.items():
        not_seen = tuple(
            row.figure for row in figures if row.outcome in _TEACHES and row.figure_id not in seen
        )
        wanted = {figure.pk for figure in not_seen}
        offers = tuple(
            Offer(other, found, places[other.pk], asked.get(other.pk))
            for other in coming
            if (found := tuple(pair for pair in does.get(other.pk, ()) if pair[0].pk in wanted))
        )
        lines.append(MissedLesson(lesson, tuple(figures), not_seen, offers))
    names = tuple(other.name for other in parallel)
    return WhatIMissed(tuple(lines), role, names, danced_again(course, person))


_TEACHES = (Outcome.INTRODUCED, Outcome.FINISH_LATER)


def _missed(course: Course, person: Person) -> dict[LessonSession, list[RecordedFigure]]:
    """Two queries."""
    there = Attendance.objects.filter(record__lesson__course=course, person=person)
    rows = (
        RecordedFigure.objects.filter(record__lesson__course=course)
        .exclude(record__lesson__in=there.values("record__lesson"))
        .exclude(outcome=Outcome.NOT_REACHED)
        .select_related("figure", "record__lesson")
        .order_by("-record__lesson__date", "-record__lesson__start", "pk")
    )
    lessons: dict[LessonSession, list[RecordedFigure]] = {}
    for row in rows:
        lessons.setdefault(row.record.lesson, []).append(row)
    return lessons


def _seen(course: Course, person: Person) -> set[int]:
    """Figures (pk) taught while the student was in the lesson, or danced by them in another course."""
    there = RecordedFigure.objects.filter(record__attendance__person=person, figure__dance=course.dance_id)
    own = Q(record__lesson__course=course, outcome__in=_TEACHES)
    other = ~Q(record__lesson__course=course) & ~Q(outcome=Outcome.NOT_REACHED)
    return set(there.filter(own | other).order_by().values_list("figure", flat=True))


def _parallel(course: Course) -> list[Course]:
    if course.group_id is None:
        return []
    rows = Course.objects.filter(group=course.group_id, term=course.term_id).exclude(pk=course.pk)
    return list(rows.order_by("name", "pk"))


def _coming(courses: Sequence[Course]) -> list[LessonSession]:
    """Lessons of the next two weeks that have not begun, in order."""
    if not courses:
        return []
    rows = LessonSession.objects.given().without_record().filter(course__in=courses)
    rows = rows.filter(date__range=(today(), today() + WITHIN)).select_related("course", "room")
    moment = now()
    return [row for row in rows.in_order() if row.begins > moment]


def _does(lessons: Sequence[LessonSession]) -> dict[int, list[tuple[Figure, str]]]:
    """Lesson (pk) -> what its published plan has there. Two queries, or none."""
    found: dict[int, list[tuple[Figure, str]]] = {}
    if not lessons:
        return found
    for kind, how in ((PlanIntroduction, NEW_THERE), (PlanReview, AGAIN_THERE)):
        rows = kind.objects.filter(
            lesson__in=lessons, plan_figure__plan__status=PlanStatus.PUBLISHED
        ).select_related("plan_figure__figure")
        for row in rows.order_by("plan_figure__figure__order", "pk"):
            found.setdefault(row.lesson_id, []).append((row.plan_figure.figure, how))
    return found


def _places(lessons: Sequence[LessonSession], role: str) -> dict[int, int]:
    """Lesson (pk) -> places left in the role. Two queries, or none; see `lessons.actions.catch_ups`."""
    if not lessons:
        return {}
    enrolled = list(
        Enrolment.objects.filter(course__in={row.course_id for row in lessons}, role=role, waiting=False)
    )
    holding = CatchUp.objects.holding().filter(lesson__in=lessons, role=role)
    visitors = Counter(holding.order_by().values_list("lesson", flat=True))
    found = {}
    for lesson in lessons:
        leads = role == FloorRole.LEADER
        places = lesson.course.places_leaders if leads else lesson.course.places_followers
        found[lesson.pk] = places - _dancing(lesson, enrolled) - visitors[lesson.pk]
    return found


def _dancing(lesson: LessonSession, enrolled: Iterable[Enrolment]) -> int:
    return sum(
        row.course_id == lesson.course_id
        and row.joined <= lesson.date
        and (row.left is None or row.left > lesson.date)
        for row in enrolled
    )


def visitors_of(lesson: LessonSession) -> list[CatchUp]:
    """Who comes to the lesson to catch up, or asks to, by name. One query."""
    rows = lesson.catch_ups.holding().select_related("person", "missed__course")
    return list(rows.order_by("person__name", "pk"))


def cast_with_visitors(lesson: LessonSession) -> Cast:
    """Who stands in front and who dances, with those who are expected to catch up: two who are not to be
    paired may come from different courses. Four queries at most."""
    return with_visitors(cast_of(lesson), lesson, visitors_of(lesson))


def with_visitors(cast: Cast, lesson: LessonSession, visitors: Iterable[CatchUp]) -> Cast:
    """The lesson's cast with those of its visitors who are expected. No query."""
    expected = (
        Enrolment(course_id=lesson.course_id, person=row.person, role=row.role, joined=lesson.date)
        for row in visitors
        if row.is_confirmed
    )
    return replace(cast, enrolments=(*cast.enrolments, *expected))


def asking_for(lessons: LessonQuerySet) -> list[CatchUp]:
    """Requests that wait for an answer, for those of `lessons` that are still to come. One query."""
    rows = CatchUp.objects.filter(state=CatchUpState.ASKED, lesson__in=lessons, lesson__date__gte=today())
    rows = rows.select_related("person", "lesson__course")
    return list(rows.order_by("lesson__date", "lesson__start", "asked_at", "pk"))


def my_catch_ups(person: Person) -> list[CatchUp]:
    """Catch-up lessons to come, with their answers. One query."""
    rows = CatchUp.objects.filter(person=person, lesson__date__gte=today()).exclude(state="withdrawn")
    return list(
        rows.select_related("lesson__course", "lesson__room").order_by("lesson__date", "lesson__start", "pk")
    )
