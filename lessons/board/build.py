"""From a plan's rows to the register of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from lessons.board.asked import asked_of
from lessons.board.faults import faults
from lessons.board.marks import Place, marks_with_records, planned_marks
from lessons.board.then import Then, then_of
from lessons.board.values import Board, Cell, Column, Gauge, Group, Mark, Row, Week
from lessons.board.weeks import Happenings, weeks_of
from lessons.models import Course, LessonSession, Milestone, PlanFigure, RecordedFigure, TermPlan
from lessons.planners.term import check_plan
from lessons.planners.term_values import FigureToTeach, Finding
from lessons.problems import CourseProblem, course_problem, placements
from school.clock import today
from school.models import Closure

Marks = Mapping[Place, tuple[Mark, ...]]


def board_of(plan: TermPlan) -> Board:
    """The register of `plan`. A constant number of queries, whatever the figures and lessons."""
    return board_from(course_problem(plan), plan.course)


def board_from(problem: CourseProblem, course: Course, around: Around | None = None) -> Board:
    """The register of a problem already read. Up to nine queries more, none where `around` is given."""
    around = around or around_many([course])[course.pk]
    ruled = rule(problem, course, around)
    columns = [column for week in ruled.weeks for column in week.columns]
    rows = _rows(problem, columns, ruled, around)
    return Board(ruled.weeks, _groups(rows), ruled.findings, ruled.notes, tallest(columns))


@dataclass(frozen=True)
class Around:
    """What a course's register shows beside its plan. `then`: None where nothing was ever published."""

    cancelled: tuple[LessonSession, ...]
    records: tuple[RecordedFigure, ...]
    milestones: tuple[tuple[dt.date, str], ...]
    closures: tuple[Closure, ...]
    then: Then | None


@dataclass(frozen=True)
class Ruled:
    """A course's weeks with the load of each lesson, the marks on them, and what does not fit.

    `breaches`: as the check names them, each at its place; `findings`: each fault once; `notes`: the rest of
    what was assumed.
    """

    weeks: tuple[Week, ...]
    marks: Marks
    breaches: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]


def around_many(courses: Sequence[Course]) -> dict[int, Around]:
    """Seven queries for any number of courses; by primary key."""
    cancelled: dict[int, list[LessonSession]] = {}
    for lesson in LessonSession.objects.filter(course__in=courses, cancelled_at__isnull=False):
        cancelled.setdefault(lesson.course_id, []).append(lesson)
    records: dict[int, list[RecordedFigure]] = {}
    for row in RecordedFigure.objects.filter(record__lesson__course__in=courses).select_related(
        "figure", "record__lesson"
    ):
        records.setdefault(row.record.lesson.course_id, []).append(row)
    stones: dict[int, list[tuple[dt.date, str]]] = {}
    for stone in Milestone.objects.filter(course__in=courses):
        stones.setdefault(stone.course_id, []).append((stone.day, stone.name))
    closures = tuple(Closure.objects.all())
    then = then_of(courses)
    return {
        course.pk: Around(
            tuple(cancelled.get(course.pk, ())),
            tuple(records.get(course.pk, ())),
            tuple(stones.get(course.pk, ())),
            closures,
            then.get(course.pk),
        )
        for course in courses
    }


def rule(problem: CourseProblem, course: Course, around: Around) -> Ruled:
    """Draw the ruler. No query, where the course came with its term and meetings."""
    introductions, reviews = placements(problem)
    breaches = check_plan(problem.problem, introductions, reviews)
    told = faults(problem, breaches, introductions)
    marks = _marks(problem, around, introductions)
    happenings = Happenings(
        today=today(),
        past=frozenset(lesson.pk for lesson in problem.lessons[: problem.first_to_come]),
        recorded=frozenset(lesson.pk for lesson in problem.lessons if hasattr(lesson, "record")),
        gauges=_gauges(problem, marks),
        troubles=_troubles(problem, breaches),
        milestones=around.milestones,
    )
    lessons = sorted(
        [*problem.lessons, *around.cancelled], key=lambda lesson: (lesson.date, lesson.start, lesson.pk)
    )
    weeks = weeks_of(course, lessons, around.closures, happenings)
    return Ruled(weeks, marks, breaches, told.found, told.notes)


def tallest(columns: Iterable[Column]) -> int:
    """Minutes of the fullest lesson, or of the one with most room: the scale of all gauges beside it."""
    return max([1, *(max(one.gauge.room, one.gauge.used) for one in columns if one.gauge)])


def _marks(
    problem: CourseProblem, around: Around, introductions: Mapping[str, int]
) -> dict[Place, tuple[Mark, ...]]:
    figures = {figure.key: figure for figure in problem.problem.figures}
    planned = _planned(problem, around, figures)
    rows = problem.plan_figures
    for name, owed in problem.problem.unfinished.items():
        if name in introductions:
            lesson = problem.lessons[introductions[name]]
            planned[rows[name].figure_id, lesson.pk] = [Mark("carry", owed)]
    recorded = (lesson.pk for lesson in problem.lessons if hasattr(lesson, "record"))
    return marks_with_records(planned, around.records, recorded, figures)


def _planned(
    problem: CourseProblem, around: Around, figures: Mapping[str, FigureToTeach]
) -> dict[Place, list[Mark]]:
    """What is planned: to come by this plan; for lessons that have been by the one published then, so that
    the past reads the same in every plan. A course that never published anything has only this plan."""
    rows = problem.plan_figures.values()
    own = planned_marks(
        [part for row in rows for part in row.introductions.all()],
        [review for row in rows for review in row.reviews.all()],
        figures,
    )
    if around.then is None:
        return own
    past = {lesson.pk for lesson in problem.lessons[: problem.first_to_come]}
    then = planned_marks(around.then.introductions, around.then.reviews, figures)
    return {place: marks for place, marks in own.items() if place[1] not in past} | {
        place: marks for place, marks in then.items() if place[1] in past
    }


def _gauges(problem: CourseProblem, marks: Mapping[Place, tuple[Mark, ...]]) -> dict[int, Gauge]:
    new: dict[int, int] = {}
    again: dict[int, int] = {}
    for (_, lesson), here in marks.items():
        for mark in here:
            minutes = again if mark.kind == "again" else new
            minutes[lesson] = minutes.get(lesson, 0) + mark.minutes
    return {
        lesson.pk: Gauge(new.get(lesson.pk, 0), again.get(lesson.pk, 0), slot.minutes)
        for lesson, slot in zip(problem.lessons, problem.problem.lessons, strict=True)
    }


def _troubles(problem: CourseProblem, findings: Sequence[Finding]) -> dict[int, str]:
    """Lessons with too much or too little: what no figure alone is to blame for."""
    return {
        problem.lessons[place].pk: "too little" if finding.kind in {"least", "least_minutes"} else "too much"
        for finding in findings
        if not finding.keys
        for place in finding.lessons
    }


def _rows(problem: CourseProblem, columns: Sequence[Column], ruled: Ruled, around: Around) -> list[Row]:
    figures = {figure.key: figure for figure in problem.problem.figures}
    keys = {name: row.figure_id for name, row in problem.plan_figures.items()}
    taught = {key for lesson in problem.problem.lessons for key in lesson.taught or ()}
    wrong: dict[str, set[int]] = {}
    for breach in ruled.breaches:
        if breach.keys and breach.lessons:
            wrong.setdefault(breach.keys[0], set()).add(breach.lessons[0])
    empty = [Cell(column) for column in columns]
    rows = []
    for name, row in problem.plan_figures.items():
        figure = figures[name]
        needs = sorted((figure.needs | figure.after) - problem.problem.known)
        own = frozenset(wrong.get(name, ()))
        cells = tuple(_cells(row, empty, ruled.marks, own))
        rows.append(
            Row(
                plan_figure=row,
                level=row.figure.level.name,
                minutes=figure.minutes,
                review_minutes=figure.review_minutes,
                needs=tuple(needs),
                cells=cells,
                findings=tuple(
                    fault
                    for fault in ruled.findings
                    if fault.keys[:1] == (name,) and fault.kind != "unplaced"
                ),
                is_placed=any(
                    mark.kind != "again" and mark.state != "missed" for cell in cells for mark in cell.marks
                ),
                is_taught=name in taught,
                asked=asked_of(row, figure, problem, around.milestones),
                needs_keys=tuple(keys[need] for need in needs if need in keys),
            )
        )
    return rows


def _cells(
    row: PlanFigure, empty: Sequence[Cell], marks: Marks, wrong: Container[int | None]
) -> Iterator[Cell]:
    """The row's cells; `empty`: one for each column, for where there is nothing to say."""
    barred = {bar.lesson_id for bar in row.bars.all()}
    is_bounded = row.earliest is not None or row.latest is not None
    for cell in empty:
        lesson = cell.column.lesson
        if lesson is None or cell.column.is_gap:
            yield cell
            continue
        here = marks.get((row.figure_id, lesson.pk), ())
        outside = is_bounded and not cell.column.is_past and _is_outside(row, lesson)
        if not here and not outside and lesson.pk not in barred:
            yield cell
            continue
        if cell.column.index in wrong:
            here = tuple(replace(mark, is_wrong=True) for mark in here)
        yield Cell(cell.column, here, is_barred=lesson.pk in barred, is_outside=outside)


def _is_outside(row: PlanFigure, lesson: LessonSession) -> bool:
    """Before the earliest lesson the director allows, or after the latest."""
    too_early = row.earliest is not None and lesson.date < row.earliest.date
    return too_early or (row.latest is not None and lesson.date > row.latest.date)


def _groups(rows: Sequence[Row]) -> tuple[Group, ...]:
    return tuple(Group(level, tuple(here)) for level, here in groupby(rows, key=lambda row: row.level))
