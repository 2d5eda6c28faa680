"""A student's level: what was taught, what comes next, what comes later. Only what was recorded is taught."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from curriculum.models import Figure
from lessons.courses.knowledge import known_figures
from lessons.evening.tonight import has_record
from lessons.models import (
    Attendance,
    Course,
    Enrolment,
    LessonSession,
    Outcome,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
)
from lessons.run_sheet.fitted import Reach, reach_of
from lessons.students.made_good import Danced, danced_by
from lessons.students.own_words import OwnWords, own_words
from school.clock import today
from school.models import Person


@dataclass(frozen=True)
class Rung:
    """A figure of the level. lesson: where it was taught, or where the plan has it; missed: why the student
    did not see it, in words, or nothing; of what they did not see and made good for, caught_up: when they
    danced it in another course, danced: when they last danced it again in this one; unwritten: the day of a
    lesson in which it was to be new, that is over and not written up; own: what they keep for themselves."""

    figure: Figure
    lesson: LessonSession | None = None
    went: str = ""
    missed: str = ""
    begun: bool = False
    caught_up: dt.date | None = None
    danced: dt.date | None = None
    unwritten: dt.date | None = None
    own: OwnWords | None = None


@dataclass(frozen=True)
class LastLesson:
    """missed: why the student did not see it, in words, or nothing."""

    lesson: LessonSession
    figures: tuple[RecordedFigure, ...]
    missed: str


@dataclass(frozen=True)
class MyLevel:
    """The level as one student reads it. last: the last lesson written up, and what it did; unwritten: those
    that are over since then; missed: taught or
    begun while they were not there and not made good for, newest first; cancelled: lessons to come that fall
    out; known: brought along. Of a course whose plan is closed to students everything to come lies beyond."""

    course: Course
    last: LastLesson | None
    unwritten: tuple[LessonSession, ...]
    taught: tuple[Rung, ...]
    missed: tuple[Rung, ...]
    next: tuple[Rung, ...]
    later: tuple[Rung, ...]
    beyond: tuple[Rung, ...]
    known: tuple[Figure, ...]
    below: tuple[tuple[str, tuple[Figure, ...]], ...]
    reach: Reach | None
    next_lesson: LessonSession | None
    cancelled: tuple[LessonSession, ...]


def my_level_of(course: Course, person: Person) -> MyLevel:
    """At most 26 queries, whatever the course's size."""
    known = frozenset(known_figures(course))
    lessons = list(course.lessons.select_related("record", "room").in_order())
    coming = next_lesson(lessons)
    figures = _figures(course)
    recorded = _recorded(course)
    joined = _joined(course, person)
    away = _away(course, person, recorded, joined)
    danced = danced_by(person, course)
    own = own_words(person, [figure.pk for figure in figures])
    taught = _taught(recorded, away)
    own_levels = {level.pk for level in course.levels.all()}
    open_figures = [
        figure
        for figure in figures
        if figure.level_id in own_levels and figure.pk not in taught and figure.pk not in known
    ]
    begun = {row.figure_id for row in recorded if row.outcome == Outcome.FINISH_LATER}
    ahead = _with_own(_ahead(course, open_figures, begun, coming), own)
    return MyLevel(
        course=course,
        last=_last(lessons, person, joined),
        unwritten=_unwritten(lessons),
        taught=_with_own((_made_good(rung, danced) for rung in taught.values()), own),
        missed=tuple(rung for rung in _missed(recorded, away, danced) if _made_good(rung, danced).missed),
        next=tuple(rung for rung in ahead if coming and rung.lesson == coming),
        later=tuple(rung for rung in ahead if rung.lesson is not None and rung.lesson != coming),
        beyond=tuple(rung for rung in ahead if rung.lesson is None),
        known=tuple(
            figure
            for figure in figures
            if figure.level_id in own_levels and figure.pk in known and figure.pk not in taught
        ),
        below=_below(figures, own_levels),
        reach=reach_of(course, on=today(), known=known),
        next_lesson=coming,
        cancelled=tuple(row for row in lessons if row.is_cancelled and row.date >= today()),
    )


def next_lesson(lessons: Iterable[LessonSession]) -> LessonSession | None:
    """The first to come that takes place and has no record yet; `record` was fetched with them."""
    coming = (row for row in lessons if row.date >= today() and not row.is_cancelled)
    return next((row for row in coming if not has_record(row)), None)


def _figures(course: Course) -> list[Figure]:
    """Of the course's levels and those below, in teaching order."""
    ranks = [level.rank for level in course.levels.all()]
    rows = Figure.objects.filter(dance=course.dance_id, level__rank__lte=max(ranks, default=0))
    return list(rows.select_related("level").in_teaching_order())


def _recorded(course: Course) -> list[RecordedFigure]:
    """Introduced or begun, oldest first."""
    rows = RecordedFigure.objects.filter(
        record__lesson__course=course, outcome__in=[Outcome.INTRODUCED, Outcome.FINISH_LATER]
    )
    return list(
        rows.select_related("figure__level", "record__lesson").order_by(
            "record__lesson__date", "record__lesson__start", "figure__order", "pk"
        )
    )


def _joined(course: Course, person: Person) -> dt.date | None:
    """Since when the student is in the course; one query."""
    enrolled = Enrolment.objects.filter(course=course, person=person, waiting=False).order_by("joined")
    return enrolled.values_list("joined", flat=True).first()


def _away(
    course: Course, person: Person, recorded: Iterable[RecordedFigure], joined: dt.date | None
) -> dict[int, str]:
    """Lesson (pk) -> why the student did not see it, in words. One query."""
    there = set(
        Attendance.objects.filter(record__lesson__course=course, person=person).values_list(
            "record__lesson", flat=True
        )
    )
    lessons = {row.record.lesson_id: row.record.lesson for row in recorded}
    return {pk: why_missed(lesson, joined) for pk, lesson in lessons.items() if pk not in there}


def _taught(recorded: Iterable[RecordedFigure], away: Mapping[int, str]) -> dict[int, Rung]:
    """Figure (pk) -> where it was introduced first, in that order; with what the student missed."""
    taught: dict[int, Rung] = {}
    for row in recorded:
        if row.outcome == Outcome.INTRODUCED and row.figure_id not in taught:
            taught[row.figure_id] = _rung(row, away)
    return taught


def _missed(recorded: Iterable[RecordedFigure], away: Mapping[int, str], danced: Danced) -> tuple[Rung, ...]:
    """What was introduced, or is begun, in lessons the student did not see: who saw a figure begun and not
    ended has missed its end."""
    recorded = list(recorded)
    ended = {row.figure_id for row in recorded if row.outcome == Outcome.INTRODUCED}
    missed = {
        row.figure_id: _rung(row, away)
        for row in recorded
        if row.record.lesson_id in away
        and not danced.saw(row.figure_id, row.outcome)
        and (row.outcome == Outcome.INTRODUCED or row.figure_id not in ended)
    }
    return tuple(reversed(missed.values()))


def _made_good(rung: Rung, danced: Danced) -> Rung:
    """What was missed and danced since is missed no more; where and when they danced it stands on it."""
    pk, new_on = rung.figure.pk, rung.lesson.date if rung.lesson else dt.date.max
    if rung.missed and pk in danced.seen:
        return replace(rung, missed="")
    if not rung.missed or not danced.is_made_good(pk, new_on):
        return rung
    elsewhere = danced.elsewhere.get(pk)
    again = None if elsewhere else danced.again_since(pk, new_on)
    return replace(rung, missed="", caught_up=elsewhere, danced=again)


def _with_own(rungs: Iterable[Rung], own: Mapping[int, OwnWords]) -> tuple[Rung, ...]:
    """With what the student keeps of each."""
    return tuple(replace(rung, own=own.get(rung.figure.pk)) for rung in rungs)


def _last(lessons: Iterable[LessonSession], person: Person, joined: dt.date | None) -> LastLesson | None:
    """Two queries, or none."""
    lesson = next((row for row in reversed(list(lessons)) if has_record(row)), None)
    if lesson is None:
        return None
    done = lesson.record.figures.exclude(outcome=Outcome.NOT_REACHED).select_related("figure").order_by("pk")
    was_there = lesson.record.attendance.filter(person=person).exists()
    return LastLesson(lesson, tuple(done), "" if was_there else why_missed(lesson, joined))


def _unwritten(lessons: Iterable[LessonSession]) -> tuple[LessonSession, ...]:
    """Given after the last one that is written up; of today nobody expects it yet."""
    found: list[LessonSession] = []
    for lesson in lessons:
        if has_record(lesson):
            found.clear()
        elif lesson.date < today() and not lesson.is_cancelled:
            found.append(lesson)
    return tuple(found)


def _rung(row: RecordedFigure, away: Mapping[int, str]) -> Rung:
    lesson = row.record.lesson
    begun = row.outcome == Outcome.FINISH_LATER
    return Rung(row.figure, lesson, row.get_went_display(), away.get(lesson.pk, ""), begun)


def why_missed(lesson: LessonSession, joined: dt.date | None) -> str:
    """In words. joined: when the student did, where that is known."""
    if joined is not None and lesson.date < joined:
        return "before you joined"
    return "you weren’t there"


def _ahead(
    course: Course, figures: Iterable[Figure], begun: set[int], coming: LessonSession | None
) -> list[Rung]:
    """What is not taught yet, in the order of the plan, then of the syllabus.

    A figure takes as long as its last part. One that was begun is finished in the next lesson. One planned
    for a lesson that has been, and not recorded there, stands where the plan has it again, else in no lesson
    until the plan is mended; while that lesson is not written up it says so. Nothing stands in a lesson where
    the director keeps the plan from students. Two queries.
    """
    planned: dict[int, LessonSession] = {}
    unwritten: dict[int, dt.date] = {}
    if not course.plan_open:
        coming = None
    rows = PlanIntroduction.objects.filter(
        plan_figure__plan__course=course, plan_figure__plan__status=PlanStatus.PUBLISHED
    )
    for row in rows.select_related("lesson__record", "plan_figure").order_by("part"):
        if not course.plan_open or row.lesson.is_cancelled:
            continue
        if row.lesson.date >= today():
            planned[row.plan_figure.figure_id] = row.lesson
        elif not has_record(row.lesson):
            unwritten[row.plan_figure.figure_id] = row.lesson.date
    for figure, lesson in _planned_again(course).items() if course.plan_open else ():
        planned.setdefault(figure, lesson)
    rungs = [
        Rung(
            figure,
            coming if figure.pk in begun else planned.get(figure.pk),
            begun=figure.pk in begun,
            unwritten=unwritten.get(figure.pk),
        )
        for figure in figures
    ]
    return sorted(rungs, key=lambda rung: rung.lesson.date if rung.lesson else dt.date.max)


def _planned_again(course: Course) -> dict[int, LessonSession]:
    """Figure (pk) -> the next lesson in which the published plan has it again. One query."""
    rows = PlanReview.objects.filter(
        plan_figure__plan__course=course,
        plan_figure__plan__status=PlanStatus.PUBLISHED,
        lesson__date__gte=today(),
        lesson__cancelled_at__isnull=True,
    )
    rows = rows.select_related("lesson", "plan_figure").order_by("-lesson__date", "-lesson__start")
    return {row.plan_figure.figure_id: row.lesson for row in rows}


def _below(figures: Iterable[Figure], own_levels: set[int]) -> tuple[tuple[str, tuple[Figure, ...]], ...]:
    levels: dict[str, list[Figure]] = {}
    for figure in figures:
        if figure.level_id not in own_levels:
            levels.setdefault(figure.level.name, []).append(figure)
    return tuple((name, tuple(rows)) for name, rows in levels.items())
