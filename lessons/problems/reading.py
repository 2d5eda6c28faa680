"""Reads the rows of any number of plans in a number of queries that depends on nothing's size.

What is read for one plan or lesson is put in order only within it: the order that rows have by themselves
begins with that of what they belong to, and every table it joins in is looked up again at each reading.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from curriculum.models import Prerequisite, RoutineItem
from lessons.courses.knowledge import known_by_course
from lessons.models import (
    Course,
    LessonSession,
    LessonShape,
    Milestone,
    Outcome,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanSet,
    PlanStatus,
    RecordedFigure,
    ShapeSegment,
    TermPlan,
)
from lessons.problems.rows import CourseRows, first_to_come
from lessons.problems.teachers import Teachers, read_teachers

Names = dict[int, str]


def read_rows(plans: Sequence[TermPlan], *, today: dt.date) -> dict[int, CourseRows]:
    """Plan (pk) -> its rows. 17 queries, or fewer where a table has nothing to say; four more once somebody
    is away or does not teach something."""
    shelves = _read(plans)
    return {plan.pk: _rows(plan, shelves, today) for plan in plans}


def read_plan_figures(plan: TermPlan, rows: CourseRows) -> tuple[PlanFigure, ...]:
    """One plan's own rows anew, with where they stand and what is asked of them; `rows`: as they were read
    before. Six queries."""
    stood = [part.lesson for row in rows.plan_figures for part in row.introductions.all()]
    return tuple(_plan_figures([plan], {plan.course_id: [*stood, *rows.lessons]})[plan.pk])


@dataclass(frozen=True)
class _Shelves:
    """Everything read, in a fixed number of queries, by course, plan, lesson or figure (pk)."""

    courses: dict[int, Course]
    lessons: dict[int, list[LessonSession]]
    plan_figures: dict[int, list[PlanFigure]]
    published: dict[int, list[PlanIntroduction]]
    recorded: dict[int, list[RecordedFigure]]
    known: dict[int, Names]
    needs: dict[int, list[Prerequisite]]
    milestones: dict[int, list[Milestone]]
    routines: dict[int, Names]
    shapes: tuple[LessonShape, ...]
    teachers: dict[int, Teachers]


def _read(plans: Sequence[TermPlan]) -> _Shelves:
    courses = _courses({plan.course_id for plan in plans})
    lessons = _lessons(courses)
    plan_figures = _plan_figures(plans, lessons)
    milestones = _milestones(courses)
    danced = {course.routine_id for course in courses.values()}
    asked_for = {stone.routine_id for stones in milestones.values() for stone in stones}
    return _Shelves(
        courses=courses,
        lessons=lessons,
        plan_figures=plan_figures,
        published=_published(plans, courses, plan_figures),
        recorded=_recorded(courses),
        known=known_by_course(list(courses.values())),
        needs=_needs({course.dance_id for course in courses.values()}),
        milestones=milestones,
        routines=_routines(danced | asked_for),
        shapes=_shapes(),
        teachers=read_teachers(courses.values()),
    )


def _rows(plan: TermPlan, shelves: _Shelves, today: dt.date) -> CourseRows:
    course = shelves.courses[plan.course_id]
    lessons = tuple(row for row in shelves.lessons[course.pk] if not row.is_cancelled)
    return CourseRows(
        course=course,
        lessons=lessons,
        first_to_come=first_to_come(lessons, today),
        plan_figures=tuple(shelves.plan_figures[plan.pk]),
        published=tuple(shelves.published[course.pk]),
        recorded={lesson.pk: tuple(shelves.recorded[lesson.pk]) for lesson in lessons},
        known=shelves.known[course.pk],
        needs=shelves.needs,
        in_routine=frozenset(shelves.routines.get(course.routine_id or 0, {})),
        milestones=tuple(
            (stone, _asked_for(stone, shelves.routines)) for stone in shelves.milestones[course.pk]
        ),
        shapes=shelves.shapes,
        teachers=shelves.teachers[course.pk],
    )


def _asked_for(stone: Milestone, routines: dict[int, Names]) -> Names:
    return routines.get(stone.routine_id or 0, {}) | {one.pk: one.name for one in stone.figures.all()}


def _courses(keys: Collection[int]) -> dict[int, Course]:
    rows = Course.objects.filter(pk__in=keys).select_related("term")
    return {row.pk: row for row in rows.order_by().prefetch_related("levels")}


def _shapes() -> tuple[LessonShape, ...]:
    """All the school has: they are few. Each with its segments."""
    segments = Prefetch("segments", ShapeSegment.objects.order_by("position"))
    return tuple(LessonShape.objects.order_by().prefetch_related(segments))


def _lessons(courses: Iterable[int]) -> dict[int, list[LessonSession]]:
    """Those that fall out too: a plan may have something in them."""
    found: dict[int, list[LessonSession]] = defaultdict(list)
    rows = LessonSession.objects.filter(course__in=courses)
    for row in rows.in_order().select_related("record", "room"):
        found[row.course_id].append(row)
    return found


def _plan_figures(
    plans: Sequence[TermPlan], lessons: Mapping[int, Iterable[LessonSession]]
) -> dict[int, list[PlanFigure]]:
    found: dict[int, list[PlanFigure]] = defaultdict(list)
    rows = PlanFigure.objects.filter(plan__in=plans).select_related(
        "figure__level", "pinned", "earliest", "latest"
    )
    by_lesson = ("lesson__date", "lesson__start")
    rows = rows.prefetch_related(
        Prefetch("introductions", PlanIntroduction.objects.order_by("part")),
        Prefetch("reviews", PlanReview.objects.order_by(*by_lesson)),
        Prefetch("bars", PlanBar.objects.order_by(*by_lesson)),
        Prefetch("sets", PlanSet.objects.order_by("pk")),
    )
    known = {row.pk: row for of_course in lessons.values() for row in of_course}
    for row in rows.order_by("figure__level__rank", "figure__order", "figure_id", "pk"):
        found[row.plan_id].append(row)
        for part in row.introductions.all():
            if part.lesson_id in known:
                part.lesson = known[part.lesson_id]
    return found


def _published(
    plans: Sequence[TermPlan], courses: Iterable[int], plan_figures: Mapping[int, Iterable[PlanFigure]]
) -> dict[int, list[PlanIntroduction]]:
    """Course (pk) -> the parts its published plan has, which is read already where it is one of `plans`."""
    found: dict[int, list[PlanIntroduction]] = defaultdict(list)
    at_hand = [plan for plan in plans if plan.status == PlanStatus.PUBLISHED]
    for plan in at_hand:
        for row in plan_figures.get(plan.pk, ()):
            found[plan.course_id].extend(row.introductions.all())
    others = set(courses) - {plan.course_id for plan in at_hand}
    if not others:
        return found
    rows = PlanIntroduction.objects.filter(
        plan_figure__plan__course__in=others, plan_figure__plan__status=PlanStatus.PUBLISHED
    )
    figure = "plan_figure__figure"
    rows = rows.order_by(f"{figure}__level__rank", f"{figure}__order", f"{figure}_id", "part")
    for row in rows.select_related("plan_figure__plan"):
        found[row.plan_figure.plan.course_id].append(row)
    return found


def _recorded(courses: Iterable[int]) -> dict[int, list[RecordedFigure]]:
    found: dict[int, list[RecordedFigure]] = defaultdict(list)
    rows = RecordedFigure.objects.filter(record__lesson__course__in=courses)
    rows = rows.exclude(outcome=Outcome.NOT_REACHED).select_related("record", "figure")
    for row in rows.order_by("pk"):
        found[row.record.lesson_id].append(row)
    return found


def _needs(dances: Collection[int]) -> dict[int, list[Prerequisite]]:
    found: dict[int, list[Prerequisite]] = defaultdict(list)
    rows = Prerequisite.objects.filter(figure__dance__in=dances).select_related("needs__level")
    for row in rows.order_by("pk"):
        found[row.figure_id].append(row)
    return found


def _milestones(courses: Iterable[int]) -> dict[int, list[Milestone]]:
    found: dict[int, list[Milestone]] = defaultdict(list)
    for row in Milestone.objects.filter(course__in=courses).prefetch_related("figures"):
        found[row.course_id].append(row)
    return found


def _routines(routines: Collection[int | None]) -> dict[int, Names]:
    """Routine (pk) -> the figures danced in it, pk -> name."""
    found: dict[int, Names] = defaultdict(dict)
    rows = RoutineItem.objects.filter(routine__in=[pk for pk in routines if pk], passage__isnull=False)
    pairs = rows.order_by("position").values_list("routine", "passage__figure", "passage__figure__name")
    for routine, figure, name in pairs:
        found[routine][figure] = name
    return found
