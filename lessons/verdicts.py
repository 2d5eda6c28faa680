"""What is wrong with a plan as it stands today, found once and kept while what it was found in is the same.

A plan's problem is made of hundreds of rows, and a school of a hundred courses would read all of them when
somebody opens the term. Asked for as they lie in the tables and only compared, the same rows cost a small
part of that. So a verdict is kept with a digest of the rows of its plan, its course and the courses that one
continues, and with the marks (`school.changes`) of whatever else was read on the way.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.core.cache import caches
from django.db import connection
from django.db.models import Model

from lessons.board.page import plan_faults
from lessons.knowledge import chains_of
from lessons.models import (
    Course,
    CourseInstructor,
    CourseLevel,
    LessonInstructor,
    LessonRecord,
    LessonSession,
    Milestone,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanSet,
    RecordedFigure,
    TaughtBefore,
    TermPlan,
)
from lessons.planners.term_values import Finding
from lessons.problems import course_problems
from lessons.routine_nights import undanceable_nights
from school.changes import marks
from school.changes.questions import asked_meanwhile
from school.clock import today

Table = tuple[type[Model], str]
OF_COURSE: tuple[Table, ...] = (
    (Course, "pk"),
    (CourseLevel, "course"),
    (CourseInstructor, "course"),
    (LessonSession, "course"),
    (LessonInstructor, "lesson__course"),
    (LessonRecord, "lesson__course"),
    (RecordedFigure, "record__lesson__course"),
    (Milestone, "course"),
    (Milestone.figures.through, "milestone__course"),
    (TaughtBefore, "course"),
)
OF_PLAN: tuple[Table, ...] = (
    (TermPlan, "pk"),
    (PlanFigure, "plan"),
    (PlanIntroduction, "plan_figure__plan"),
    (PlanReview, "plan_figure__plan"),
    (PlanBar, "plan_figure__plan"),
    (PlanSet, "plan"),
    (PlanSet.figures.through, "planset__plan"),
)
OWN = frozenset(model._meta.db_table for model, _ in OF_COURSE + OF_PLAN)


@dataclass(frozen=True)
class Verdict:
    """faults: each thing once, the most useful first; nights: what is said of routines that cannot be danced
    on their night though their joins hold."""

    faults: tuple[Finding, ...]
    nights: tuple[str, ...]


@dataclass(frozen=True)
class _Kept:
    """rows: a digest of the plan's and the course's own; marks: of the other tables that were read."""

    rows: bytes
    marks: Mapping[str, str]
    day: dt.date
    verdict: Verdict


def verdicts(plans: Sequence[TermPlan]) -> dict[int, Verdict]:
    """Plan (pk) -> its verdict. Nineteen queries for any number of plans, with their courses at hand; where
    one has to be found, those of reading its problem, and the nineteen once more."""
    if not settings.KEPT_PAGES or not plans:
        return _found(plans)
    kept: dict[int, _Kept] = caches["verdicts"].get("verdicts", {})
    rows, now = _digests(plans), marks()
    known = {
        plan.pk: kept[plan.pk].verdict
        for plan in plans
        if plan.pk in kept and _holds(kept[plan.pk], rows[plan.pk], now)
    }
    wanted = [plan for plan in plans if plan.pk not in known]
    if wanted:
        with asked_meanwhile() as asked:
            known |= _found(wanted)
        _keep(wanted, known, rows, now, asked.tables - OWN)
    return known


def _found(plans: Sequence[TermPlan]) -> dict[int, Verdict]:
    problems = course_problems(plans) if plans else []
    nights = undanceable_nights(problems) if problems else {}
    return {
        problem.plan.pk: Verdict(
            plan_faults(problem),
            tuple(night.sentence for night in nights[problem.plan.pk] if not night.is_broken),
        )
        for problem in problems
    }


def _holds(kept: _Kept, rows: bytes, now: Mapping[str, str]) -> bool:
    same = all(now.get(table) == mark for table, mark in kept.marks.items())
    return same and kept.rows == rows and kept.day == today()


def _keep(
    plans: Sequence[TermPlan],
    found: Mapping[int, Verdict],
    rows: Mapping[int, bytes],
    now: Mapping[str, str],
    tables: Collection[str],
) -> None:
    """Only what nobody wrote to meanwhile, and nothing that was found in a table which is not watched."""
    if not now.keys() >= set(tables):
        return
    then = {table: now[table] for table in tables}
    again, later = _digests(plans), marks()
    if any(later[table] != mark for table, mark in then.items()):
        return
    made = {
        plan.pk: _Kept(rows[plan.pk], then, today(), found[plan.pk])
        for plan in plans
        if again[plan.pk] == rows[plan.pk]
    }
    # What another request has kept by now stays, and nothing of another day.
    by_now: dict[int, _Kept] = caches["verdicts"].get("verdicts", {})
    caches["verdicts"].set("verdicts", {pk: one for pk, one in by_now.items() if one.day == today()} | made)


def _digests(plans: Sequence[TermPlan]) -> dict[int, bytes]:
    """Plan (pk) -> what stands for its rows, its course's and those of the courses that one continues."""
    chains = chains_of([plan.course for plan in plans])
    of_plan = _rows_of(OF_PLAN, {plan.pk for plan in plans})
    of_course = _rows_of(OF_COURSE, chains.keys() | {pk for chain in chains.values() for pk in chain})
    return {
        plan.pk: b"".join(
            [of_plan[plan.pk], *(of_course[pk] for pk in (plan.course_id, *chains[plan.course_id]))]
        )
        for plan in plans
    }


def _rows_of(tables: Iterable[Table], keys: Collection[int]) -> dict[int, bytes]:
    """Key -> a digest of every row that belongs to it. One query a table."""
    said: dict[int, Any] = defaultdict(lambda: hashlib.blake2b(digest_size=16))
    for model, path in tables:
        columns = [field.attname for field in model._meta.concrete_fields]
        rows = (
            model._default_manager.filter(**{f"{path}__in": keys}).order_by("pk").values_list(path, *columns)
        )
        for key, *row in _as_they_lie(rows.query):
            said[key].update(repr((model._meta.db_table, row)).encode())
    return defaultdict(bytes, {key: digest.digest() for key, digest in said.items()})


def _as_they_lie(query: Any) -> list[tuple[Any, ...]]:
    """As the database gives them: nothing is made of any value."""
    with connection.cursor() as cursor:
        cursor.execute(*query.sql_with_params())
        return cursor.fetchall()
