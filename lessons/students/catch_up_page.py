"""What a student missed, and where the parallel course teaches or reviews it while there is a place; and what
those in front of a lesson read of who comes to catch up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from curriculum.models import Figure, FloorRole
from lessons.actions.catch_ups import WITHIN
from lessons.evening.cast import Cast, cast_of
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
from lessons.students.catch_up_places import floors_on, places_for, places_for_two
from lessons.students.made_good import TEACHES, danced_by
from lessons.students.my_level import why_missed
from school.clock import now, today
from school.models import Person

NEW_THERE, AGAIN_THERE = "new", "again"


@dataclass(frozen=True)
class Offer:
    """A lesson of a parallel course that does some of what was missed. does: (figure, "new" or "again");
    places: for how many in the student's role; for_two: whether the couple could come together; asked: the
    student's own request, if there is one."""

    lesson: LessonSession
    does: tuple[tuple[Figure, str], ...]
    places: int
    for_two: bool
    asked: CatchUp | None

    @property
    def is_open(self) -> bool:
        """Not asked for, or taken back."""
        return self.asked is None or self.asked.state == "withdrawn"

    @property
    def may_ask(self) -> bool:
        return self.is_open and self.places > 0

    @property
    def may_ask_for_two(self) -> bool:
        return self.is_open and self.for_two


@dataclass(frozen=True)
class MissedLesson:
    """A lesson the student was not in: why, what it taught, and of that what they have not made good for."""

    lesson: LessonSession
    why: str
    taught: tuple[RecordedFigure, ...]
    open_figures: tuple[Figure, ...]
    offers: tuple[Offer, ...]

    @property
    def taught_new(self) -> bool:
        return any(row.outcome in TEACHES for row in self.taught)


@dataclass(frozen=True)
class WhatIMissed:
    """role: of the student in the course, "L" or "F"; partner: the first name of whom they are booked as a
    couple with, if any; parallel: names of the courses kept in step with it; held: places they have or asked
    for in lessons that none of `lessons` offers any more; again: figure (pk) -> when they last danced it as
    a review in the course itself."""

    lessons: tuple[MissedLesson, ...]
    role: str
    partner: str
    parallel: tuple[str, ...]
    held: tuple[CatchUp, ...]
    again: dict[int, dt.date]


def what_i_missed(course: Course, person: Person) -> WhatIMissed:
    """Lessons written up that the student was not in, newest first. At most thirteen queries."""
    rows = Enrolment.objects.filter(course=course, person=person, waiting=False)
    enrolled = rows.select_related("couple_with__person").order_by("-joined").first()
    role = enrolled.role if enrolled else FloorRole.LEADER.value
    both = enrolled is not None and enrolled.dances_both
    couple = enrolled.couple_with if enrolled else None
    missed = _missed(course, person)
    danced = danced_by(person, course)
    parallel = _parallel(course)
    coming = _coming(parallel)
    does = _does(coming)
    floors = floors_on(coming)
    own = CatchUp.objects.filter(person=person, lesson__in=coming).select_related(
        "lesson__course", "lesson__room"
    )
    asked = {row.lesson_id: row for row in own}
    lines = []
    for lesson, figures in missed.items():
        not_seen = tuple(
            row.figure
            for row in figures
            if row.outcome in TEACHES
            and not danced.saw(row.figure_id, row.outcome)
            and not danced.is_made_good(row.figure_id, lesson.date)
        )
        wanted = {figure.pk for figure in not_seen}
        offers = tuple(
            Offer(
                lesson=other,
                does=found,
                places=places_for(other.course, floors[other.pk], role, dances_both=both),
                for_two=couple is not None and places_for_two(other.course, floors[other.pk]),
                asked=asked.get(other.pk),
            )
            for other in coming
            if (found := tuple(pair for pair in does.get(other.pk, ()) if pair[0].pk in wanted))
        )
        why = why_missed(lesson, enrolled.joined if enrolled else None)
        lines.append(MissedLesson(lesson, why, tuple(figures), not_seen, offers))
    offered = {offer.lesson.pk for line in lines for offer in line.offers}
    held = [asked[other.pk] for other in coming if other.pk in asked and other.pk not in offered]
    names = tuple(other.name for other in parallel)
    partner = couple.person.first_name if couple else ""
    holding = tuple(row for row in held if row.is_confirmed or row.is_asked)
    return WhatIMissed(tuple(lines), role, partner, names, holding, danced.again)


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
