"""Rows put into a course's plan, and the problem read from them."""

import datetime as dt

from lessons.models import (
    RecordedFigure,
)
from lessons.planners.term import FigureToTeach, check_plan
from lessons.problems import course_problem, placements
from tests.factories import (
    FigureFactory,
    PlanFigureFactory,
    RecordFactory,
)

BEFORE_THE_TERM = dt.date(2026, 1, 1)


DEMANDS = ("new_in", "again_in", "pinned", "earliest", "latest", "required", "importance", "parts")


def put(plan, name, **fields):
    """A figure of the course's level, in the plan."""
    demands = {key: fields.pop(key) for key in list(fields) if key in DEMANDS}
    figure = FigureFactory(level=plan.course.levels.get(), name=name, **fields)
    return PlanFigureFactory(plan=plan, figure=figure, **demands)


def read(plan, *, after=None):
    """The problem on the morning after a lesson, or before the term."""
    return course_problem(plan, today=after.date + dt.timedelta(days=1) if after else BEFORE_THE_TERM)


def figure(read_problem, name) -> FigureToTeach:
    return next(figure for figure in read_problem.problem.figures if figure.key == name)


def cancel(lesson):
    lesson.cancelled_at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    lesson.save()


def begun(lesson, figure, owed=None):
    record = RecordFactory(lesson=lesson)
    RecordedFigure.objects.create(record=record, figure=figure, outcome="finish_later", minutes_owed=owed)


def findings_of(problem):
    return check_plan(problem.problem, *placements(problem))
