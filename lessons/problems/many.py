"""The problems of many courses at once, for pages that show a whole term: as many queries as for one."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from curriculum.models import Figure, Prerequisite
from lessons.models import (
    Course,
    LessonSession,
    LessonShape,
    Milestone,
    Outcome,
    PlanFigure,
    PlanIntroduction,
    PlanStatus,
    RecordedFigure,
    TaughtBefore,
    TermPlan,
)
from lessons.problems.course import CourseProblem, problem_of
from lessons.problems.rows import CourseRows, first_to_come, routine_figures
from school import clock


def course_problems(plans: Sequence[TermPlan], *, today: dt.date | None = None) -> list[CourseProblem]:
    """Each plan's problem as `course_problem` reads it, at most one plan a course.

    The number of queries depends neither on the plans nor on any table's size.
    """
    rows = _read_many(plans, today=today or clock.today())
    return [problem_of(plan, rows[plan.pk]) for plan in plans]


def _read_many(plans: Sequence[TermPlan], *, today: dt.date) -> dict[int, CourseRows]:
    keys = [plan.course_id for plan in plans]
    courses = {
        course.pk: course
        for course in Course.objects.filter(pk__in=keys)
        .select_related("term")
        .prefetch_related("levels", "shape__segments")
    }
    lessons = _by_course(
        LessonSession.objects.filter(course__in=keys).given().in_order().select_related("record", "room"),
        lambda lesson: lesson.course_id,
    )
    milestones = _by_course(
        Milestone.objects.filter(course__in=keys).prefetch_related("figures"), lambda row: row.course_id
    )
    stones = [row.routine_id for rows in milestones.values() for row in rows]
    routines = routine_figures([*stones, *(course.routine_id for course in courses.values())])
    figures = _by_course(_plan_figures(plans), lambda row: row.plan_id)
    published = _by_course(_published(keys), lambda row: row.plan_figure.plan.course_id)
    recorded = _recorded(keys)
    known = _known(courses)
    needs = _needs({course.dance_id for course in courses.values()})
    usual = LessonShape.objects.filter(is_default=True).prefetch_related("segments").first()
    found = {}
    for plan in plans:
        course = courses[plan.course_id]
        own = tuple(lessons[course.pk])
        found[plan.pk] = CourseRows(
            course=course,
            today=today,
            lessons=own,
            first_to_come=first_to_come(own, today),
            plan_figures=tuple(figures[plan.pk]),
            published=tuple(published[course.pk]),
            recorded={pk: tuple(rows) for pk, rows in recorded[course.pk].items()},
            known=known[course.pk],
            needs=needs,
            in_routine=frozenset(routines.get(course.routine_id, {})),
            milestones=tuple(
                (row, {**routines.get(row.routine_id, {}), **{one.pk: one.name for one in row.figures.all()}})
                for row in milestones[course.pk]
            ),
            shape=course.shape or usual,
        )
    return found


def _by_course(rows: Iterable, course_of) -> defaultdict[int, list]:  # type: ignore[no-untyped-def, type-arg]
    found: defaultdict[int, list] = defaultdict(list)  # type: ignore[type-arg]
    for row in rows:
        found[course_of(row)].append(row)
    return found


def _plan_figures(plans: Sequence[TermPlan]) -> Iterable[PlanFigure]:
    rows = PlanFigure.objects.filter(plan__in=plans).select_related(
        "figure__level", "pinned", "earliest", "latest"
    )
    return rows.prefetch_related("introductions__lesson", "reviews", "bars", "sets").order_by(
        "figure__level__rank", "figure__order", "figure"
    )


def _published(courses: list[int]) -> Iterable[PlanIntroduction]:
    rows = PlanIntroduction.objects.filter(
        plan_figure__plan__course__in=courses, plan_figure__plan__status=PlanStatus.PUBLISHED
    )
    return rows.select_related("plan_figure__plan").order_by("plan_figure", "part")


def _recorded(courses: list[int]) -> defaultdict[int, dict[int, list[RecordedFigure]]]:
    rows = RecordedFigure.objects.filter(record__lesson__course__in=courses)
    rows = rows.exclude(outcome=Outcome.NOT_REACHED).select_related("record__lesson", "figure").order_by("pk")
    found: defaultdict[int, dict[int, list[RecordedFigure]]] = defaultdict(dict)
    for row in rows:
        found[row.record.lesson.course_id].setdefault(row.record.lesson_id, []).append(row)
    return found


def _needs(dances: Iterable[int]) -> dict[int, tuple[Prerequisite, ...]]:
    found: defaultdict[int, list[Prerequisite]] = defaultdict(list)
    rows = Prerequisite.objects.filter(figure__dance__in=dances).select_related("needs__level")
    for row in rows.order_by("pk"):
        found[row.figure_id].append(row)
    return {figure: tuple(rows) for figure, rows in found.items()}


def _known(courses: Mapping[int, Course]) -> dict[int, dict[int, str]]:
    """Course (pk) -> figures (pk -> name) it brought with it, as `lessons.knowledge` says it. Four queries."""
    dances = {course.dance_id for course in courses.values()}
    before = dict(Course.objects.filter(dance__in=dances).values_list("pk", "continues"))
    chains = {pk: _chain(pk, before) for pk in courses}
    told = {pk for chain in chains.values() for pk in chain}
    taught: defaultdict[int, set[int]] = defaultdict(set)
    for course, figure in RecordedFigure.objects.filter(
        record__lesson__course__in=told, outcome=Outcome.INTRODUCED
    ).values_list("record__lesson__course", "figure"):
        taught[course].add(figure)
    ticked: defaultdict[int, set[int]] = defaultdict(set)
    for course, figure in TaughtBefore.objects.filter(course__in=told | courses.keys()).values_list(
        "course", "figure"
    ):
        ticked[course].add(figure)
    ladder = list(Figure.objects.filter(dance__in=dances).values_list("pk", "name", "dance", "level__rank"))
    return {
        pk: {
            figure: name
            for figure, name, dance, rank in ladder
            if (dance == course.dance_id and rank < _lowest(course))
            or any(figure in taught[earlier] or figure in ticked[earlier] for earlier in chains[pk])
            or figure in ticked[pk]
        }
        for pk, course in courses.items()
    }


def _lowest(course: Course) -> int:
    """The course's lowest level; 0, below every rank, where it has none."""
    return min((level.rank for level in course.levels.all()), default=0)


def _chain(course: int, before: Mapping[int, int | None]) -> list[int]:
    """The courses this one continues, nearest first."""
    chain: list[int] = []
    current = before.get(course)
    while current is not None and current not in chain and current != course:
        chain.append(current)
        current = before.get(current)
    return chain
