"""From a plan's rows to the register of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from lessons.board.marks import Place, marks_with_records, planned_marks
from lessons.board.values import Board, Cell, Column, Gauge, Group, Mark, Row
from lessons.board.weeks import Happenings, weeks_of
from lessons.models import Course, LessonSession, PlanFigure, RecordedFigure, TermPlan
from lessons.planners.term import check_plan
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problem, placements
from school.clock import today
from school.models import Closure


def board_of(plan: TermPlan) -> Board:
    """The register of `plan`. A constant number of queries, whatever the figures and lessons."""
    return board_from(course_problem(plan), plan.course)


def board_from(problem: CourseProblem, course: Course) -> Board:
    """The register of a problem already read. Up to six queries more."""
    introductions, reviews = placements(problem)
    findings = check_plan(problem.problem, introductions, reviews)
    marks = _marks(course, problem, introductions)
    gauges = _gauges(problem, marks)
    cancelled = course.lessons.filter(cancelled_at__isnull=False).select_related("room")
    happenings = Happenings(
        today=today(),
        past=frozenset(lesson.pk for lesson in problem.lessons[: problem.first_to_come]),
        recorded=frozenset(lesson.pk for lesson in problem.lessons if hasattr(lesson, "record")),
        gauges=gauges,
        wrong=_wrong_lessons(problem, findings),
        milestones=tuple((stone.day, stone.name) for stone in course.milestones.all()),
    )
    lessons = sorted([*problem.lessons, *cancelled], key=lambda lesson: (lesson.date, lesson.start, lesson.pk))
    weeks = weeks_of(course, lessons, Closure.objects.all(), happenings)
    columns = [column for week in weeks for column in week.columns]
    shown = [_row(row, problem, columns, marks, findings) for row in problem.plan_figures.values()]
    tallest = max([1, *(max(gauge.room, gauge.used) for gauge in gauges.values())])
    return Board(weeks, _groups(shown), findings, problem.notes, tallest)


def _marks(
    course: Course, problem: CourseProblem, introductions: Mapping[str, int]
) -> dict[Place, tuple[Mark, ...]]:
    rows = problem.plan_figures
    planned = planned_marks(rows.values(), {figure.key: figure for figure in problem.problem.figures})
    for name, owed in problem.problem.unfinished.items():
        if name in introductions:
            lesson = problem.lessons[introductions[name]]
            planned[rows[name].figure_id, lesson.pk] = [Mark("carry", owed)]
    records = RecordedFigure.objects.filter(record__lesson__course=course).select_related(
        "figure", "record__lesson"
    )
    recorded = (lesson.pk for lesson in problem.lessons if hasattr(lesson, "record"))
    return marks_with_records(planned, records, recorded)


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


def _wrong_lessons(problem: CourseProblem, findings: Sequence[Finding]) -> frozenset[int]:
    """Lessons with too much, or too little: what no figure alone is to blame for."""
    places = {place for finding in findings if not finding.keys for place in finding.lessons}
    return frozenset(problem.lessons[place].pk for place in places if place < len(problem.lessons))


def _row(
    row: PlanFigure,
    problem: CourseProblem,
    columns: Sequence[Column],
    marks: Mapping[Place, tuple[Mark, ...]],
    findings: Sequence[Finding],
) -> Row:
    name = row.figure.name
    figure = next((figure for figure in problem.problem.figures if figure.key == name), None)
    own = tuple(finding for finding in findings if finding.keys[:1] == (name,))
    wrong = frozenset(place for finding in own for place in finding.lessons[:1])
    cells = tuple(_cell(row, column, marks, wrong) for column in columns)
    needs = (figure.needs | figure.after) - problem.problem.known if figure else frozenset()
    return Row(
        plan_figure=row,
        level=row.figure.level.name,
        minutes=figure.minutes if figure else row.figure.minutes_to_introduce,
        review_minutes=figure.review_minutes if figure else row.figure.minutes_to_review,
        needs=tuple(sorted(needs)),
        cells=cells,
        findings=own,
        is_placed=any(mark.kind != "again" for cell in cells for mark in cell.marks),
    )


def _cell(
    row: PlanFigure, column: Column, marks: Mapping[Place, tuple[Mark, ...]], wrong: frozenset[int]
) -> Cell:
    if column.lesson is None or column.is_gap:
        return Cell(column)
    here = marks.get((row.figure_id, column.lesson.pk), ())
    if column.index in wrong:
        here = tuple(replace(mark, is_wrong=True) for mark in here)
    return Cell(
        column,
        here,
        is_barred=any(bar.lesson_id == column.lesson.pk for bar in row.bars.all()),
        is_outside=not column.is_past and _is_outside(row, column.lesson),
    )


def _is_outside(row: PlanFigure, lesson: LessonSession) -> bool:
    """Before the earliest lesson the director allows, or after the latest."""
    too_early = row.earliest is not None and lesson.date < row.earliest.date
    return too_early or (row.latest is not None and lesson.date > row.latest.date)


def _groups(rows: Sequence[Row]) -> tuple[Group, ...]:
    return tuple(Group(level, tuple(here)) for level, here in groupby(rows, key=lambda row: row.level))
