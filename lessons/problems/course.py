"""A course's term as a problem for the planner."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from lessons.models import LessonKind, LessonSession, PlanFigure, PlanSet, TermPlan
from lessons.planners.term_values import LessonSlot, TermProblem
from lessons.problems.demands import read_demands
from lessons.problems.history import History, read_history
from lessons.problems.joining import joining_lesson
from lessons.problems.places import as_it_stands
from lessons.problems.reading import read_plan_figures, read_rows
from lessons.problems.room import teaching_minutes
from lessons.problems.rows import CourseRows
from school import clock

NOTHING_NEW = frozenset({LessonKind.REVISION, LessonKind.PRACTICE, LessonKind.SHOWCASE, LessonKind.TEST})


@dataclass(frozen=True)
class CourseProblem:
    """The problem, and the rows its indices and keys stand for.

    `lessons[index]` is the lesson of that index: those that take place, in order. `plan_figures`: figure
    name -> its row, for every figure of `problem.figures`. `notes`: what was assumed, in sentences.
    `first_to_come`: index of the first lesson that is not history. `lost`: figure name -> which place it
    lost to the calendar or an evening, as the notes say it.

    `problem` is what the plan is checked by as it stands. `to_plan` is what the planner is given: there a
    review goes by the rule alone, not by what is planned already; `joining` is the lesson (index) in which
    what newcomers need comes once more, wherever the planner puts it.
    """

    plan: TermPlan
    problem: TermProblem
    lessons: tuple[LessonSession, ...]
    plan_figures: dict[str, PlanFigure]
    notes: tuple[str, ...]
    first_to_come: int
    to_plan: TermProblem
    joining: int | None = None
    lost: dict[str, str] = field(default_factory=dict)
    rows: CourseRows | None = field(default=None, repr=False, compare=False)


def course_problem(plan: TermPlan, *, today: dt.date | None = None) -> CourseProblem:
    """Read the plan's problem as it stands on `today` (the school's day unless given).

    The number of queries depends on no table's size.
    """
    return course_problems([plan], today=today)[0]


def problem_again(problem: CourseProblem) -> CourseProblem:
    """The same course once its plan was written: its own rows alone are read again, in six queries."""
    if problem.rows is None:
        return course_problem(problem.plan)
    rows = replace(problem.rows, plan_figures=read_plan_figures(problem.plan, problem.rows))
    return as_it_stands(_problem(problem.plan, rows))


def course_problems(plans: Sequence[TermPlan], *, today: dt.date | None = None) -> list[CourseProblem]:
    """Each plan's problem, in the plans' order, in as many queries as one takes."""
    rows = read_rows(plans, today=today or clock.today())
    return [as_it_stands(_problem(plan, rows[plan.pk])) for plan in plans]


def _problem(plan: TermPlan, rows: CourseRows) -> CourseProblem:
    """The problem that the plan's rows make, for the planner. No query."""
    history = read_history(rows)
    planned = tuple(row for row in rows.plan_figures if row.figure_id not in rows.known)
    demands = read_demands(rows, planned, history)
    keys = {row.figure_id: row.figure.name for row in planned}
    # What was taught beside the plan is known from now on: nothing about it is left to plan.
    beside = {name for pk, name in history.names.items() if pk in history.introduced and pk not in keys}
    problem = TermProblem(
        figures=tuple(demands.figures),
        lessons=_slots(rows, history, keys),
        known=frozenset({*rows.known.values(), *demands.taken_as_known, *beside} - {*keys.values()}),
        previous=_previous(rows, plan, keys),
        together=(*demands.together, *_together(planned, keys, history)),
        apart=_sets(planned, keys, PlanSet.Kind.APART),
        unfinished={keys[pk]: minutes for pk, minutes in history.unfinished.items() if pk in keys},
    )
    known_rows = [row.figure.name for row in rows.plan_figures if row.figure_id in rows.known]
    return CourseProblem(
        plan=plan,
        problem=problem,
        to_plan=problem,
        joining=None if rows.is_drop_in else joining_lesson(rows),
        lessons=rows.lessons,
        plan_figures={row.figure.name: row for row in planned},
        notes=(
            *history.notes,
            *demands.notes,
            *(f"{name} is known already and is not planned again." for name in known_rows),
        ),
        first_to_come=rows.first_to_come,
        lost=demands.lost,
        rows=rows,
    )


def _slots(rows: CourseRows, history: History, keys: dict[int, str]) -> tuple[LessonSlot, ...]:
    slots = []
    for index, lesson in enumerate(rows.lessons):
        is_last = index == len(rows.lessons) - 1 and not rows.course.new_in_last_lesson
        has_been = index < rows.first_to_come
        slots.append(
            LessonSlot(
                index=index,
                minutes=teaching_minutes(lesson, rows.shape_for(lesson)),
                max_new=0 if is_last or lesson.kind in NOTHING_NEW else rows.most_new,
                taught=_names(history.taught[index], keys) if has_been else None,
                reviewed=_names(history.reviewed[index], keys) if has_been else frozenset(),
            )
        )
    return tuple(slots)


def _names(figures: frozenset[int], keys: dict[int, str]) -> frozenset[str]:
    return frozenset(keys[pk] for pk in figures if pk in keys)


def _previous(rows: CourseRows, plan: TermPlan, keys: dict[int, str]) -> dict[str, int] | None:
    """Where the published plan has what is still to come, so that a draft in mid-term moves little."""
    if not rows.first_to_come or not rows.published:
        return None
    index_of = rows.index_of
    return {
        keys[row.plan_figure.figure_id]: index_of[row.lesson_id]
        for row in rows.published
        if row.part == 0
        and row.plan_figure.plan_id != plan.pk
        and row.plan_figure.figure_id in keys
        and index_of.get(row.lesson_id, -1) >= rows.first_to_come
    }


def _together(
    planned: tuple[PlanFigure, ...], keys: dict[int, str], history: History
) -> tuple[frozenset[str], ...]:
    """Sets of which no member is settled: what has come apart on an evening that has been binds no more."""
    settled = {keys[pk] for pk in history.introduced | history.unfinished.keys() if pk in keys}
    return tuple(group for group in _sets(planned, keys, PlanSet.Kind.TOGETHER) if not group & settled)


def _sets(
    planned: tuple[PlanFigure, ...], keys: dict[int, str], kind: PlanSet.Kind
) -> tuple[frozenset[str], ...]:
    members: dict[int, set[str]] = {}
    for row in planned:
        for group in row.sets.all():
            if group.kind == kind:
                members.setdefault(group.pk, set()).add(keys[row.figure_id])
    return tuple(frozenset(names) for names in members.values() if len(names) > 1)
