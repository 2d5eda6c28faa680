"""What is wrong with a plan as it stands today, found once and kept while what it was found in is the same.

A plan's problem is made of hundreds of rows, and a school of a hundred courses would read all of them when
somebody opens the term. Asked for as they lie in the tables and only compared, the same rows cost a small
part of that. So a verdict is kept with a digest of the rows of its plan, its course and the courses that one
continues, and with one of every other table that was read on the way. Those say what holds for all courses:
they are small, and asked for again only once something was written to them (`school.changes`).
"""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core.cache import caches
from django.db import connection
from django.db.models import Model, QuerySet

from lessons.board.page import plan_faults
from lessons.courses.knowledge import chains_of
from lessons.courses.routine_nights import undanceable_nights
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
from school.changes import marks
from school.changes.questions import Question, answered, asked_meanwhile, question_of
from school.clock import today
from school.models import Person

# A table, how its rows belong to a course or to a plan, and what they say that stands in another table.
Table = tuple[type[Model], str, tuple[str, ...]]
OF_COURSE: tuple[Table, ...] = (
    (Course, "pk", ()),
    (CourseLevel, "course", ()),
    (CourseInstructor, "course", ("person__name",)),
    (LessonSession, "course", ()),
    (LessonInstructor, "lesson__course", ("person__name",)),
    (LessonRecord, "lesson__course", ()),
    (RecordedFigure, "record__lesson__course", ()),
    (Milestone, "course", ()),
    (Milestone.figures.through, "milestone__course", ()),
    (TaughtBefore, "course", ()),
)
OF_PLAN: tuple[Table, ...] = (
    (TermPlan, "pk", ()),
    (PlanFigure, "plan", ()),
    (PlanIntroduction, "plan_figure__plan", ()),
    (PlanReview, "plan_figure__plan", ()),
    (PlanBar, "plan_figure__plan", ()),
    (PlanSet, "plan", ()),
    (PlanSet.figures.through, "planset__plan", ()),
)
# Of people only the names count of those who teach, which stand with the rows that say so.
OWN = frozenset(model._meta.db_table for model, *_ in OF_COURSE + OF_PLAN) | {Person._meta.db_table}


@dataclass(frozen=True)
class Verdict:
    """faults: each thing once, the most useful first; nights: what is said of routines that cannot be danced
    on their night though their joins hold; found_in: what stands for all it was found in, empty where it is
    not kept."""

    faults: tuple[Finding, ...]
    nights: tuple[str, ...]
    found_in: bytes = field(default=b"", compare=False)


@dataclass(frozen=True)
class _Kept:
    """rows: a digest of the plan's and the course's own; tables: of the others that were read."""

    rows: bytes
    tables: Mapping[str, bytes]
    day: dt.date
    verdict: Verdict


@dataclass(frozen=True)
class _Store:
    """What is kept. tables: table -> its mark, and a digest of it when it had that mark."""

    verdicts: dict[int, _Kept] = field(default_factory=dict)
    tables: dict[str, tuple[str, bytes]] = field(default_factory=dict)


def verdicts(plans: Sequence[TermPlan]) -> dict[int, Verdict]:
    """Plan (pk) -> its verdict. Nineteen queries for any number of plans, with their courses at hand, and one
    for each table for all courses that was written to; where a verdict has to be found, those of reading its
    problem, and all of these once more."""
    if not settings.KEPT_PAGES or not plans:
        return _found(plans)
    store: _Store = caches["verdicts"].get("store") or _Store()
    rows, now = _digests(plans), marks()
    tables = _digests_of(store.tables, now, store.tables)
    known = {
        plan.pk: store.verdicts[plan.pk].verdict
        for plan in plans
        if plan.pk in store.verdicts and _holds(store.verdicts[plan.pk], rows[plan.pk], tables)
    }
    wanted = [plan for plan in plans if plan.pk not in known]
    read: frozenset[str] = frozenset()
    if wanted:
        with asked_meanwhile() as asked:
            known |= _found(wanted)
        read = asked.tables - OWN
    if read <= now.keys() and (wanted or tables != store.tables):
        known |= _keep(wanted, known, rows, _digests_of(read | tables.keys(), now, tables))
    return known


def rows_of_plans(keys: Collection[int]) -> Mapping[int, bytes]:
    """Plan (pk) -> what stands for its rows. Seven queries, none for no plans."""
    return _rows_of(OF_PLAN, keys) if keys else {}


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


def _holds(kept: _Kept, rows: bytes, tables: Mapping[str, tuple[str, bytes]]) -> bool:
    same = all(tables[table][1] == digest for table, digest in kept.tables.items())
    return same and kept.rows == rows and kept.day == today()


def _keep(
    plans: Sequence[TermPlan],
    found: Mapping[int, Verdict],
    rows: Mapping[int, bytes],
    tables: dict[str, tuple[str, bytes]],
) -> dict[int, Verdict]:
    """Only what nobody wrote to meanwhile: a verdict may have been found in some of the old and some of the
    new, and a table's digest be that of another mark. Plan (pk) -> its verdict, as it is kept."""
    again, now = _digests(plans) if plans else {}, marks()
    if any(now[table] != mark for table, (mark, _) in tables.items()):
        return {}
    of_table = {table: digest for table, (_, digest) in tables.items()}
    of_all = _digest(sorted(of_table.items()))
    made = {
        plan.pk: _Kept(
            rows[plan.pk], of_table, today(), replace(found[plan.pk], found_in=rows[plan.pk] + of_all)
        )
        for plan in plans
        if again[plan.pk] == rows[plan.pk]
    }
    # What another request has kept by now stays, and nothing of another day.
    by_now: _Store = caches["verdicts"].get("store") or _Store()
    of_today = {pk: one for pk, one in by_now.verdicts.items() if one.day == today()}
    caches["verdicts"].set("store", _Store(of_today | made, by_now.tables | tables))
    return {pk: one.verdict for pk, one in made.items()}


def _digests_of(
    tables: Iterable[str], now: Mapping[str, str], known: Mapping[str, tuple[str, bytes]]
) -> dict[str, tuple[str, bytes]]:
    """Table -> its mark and a digest of all its rows. A query for each that has another mark than it had; of
    the others a page that is made meanwhile is told (`school.changes.questions`)."""
    found = {}
    for table in tables:
        every_row = _all_of(table)
        mark, digest = known.get(table, ("", b""))
        same = mark == now[table]
        found[table] = (now[table], answered(every_row, digest) if same else every_row.ask())
    return found


@functools.cache
def _all_of(table: str) -> Question:
    models = {model._meta.db_table: model for model in apps.get_models(include_auto_created=True)}
    return question_of(models[table]._base_manager.order_by("pk").values_list())


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
    found: dict[int, list[Any]] = defaultdict(list)
    for model, path, more in tables:
        rows = model._default_manager.filter(**{f"{path}__in": keys}).order_by("pk")
        for key, *row in _rows_in(rows, path, *more):
            found[key].append(row)
        for of_key in found.values():
            of_key.append(model._meta.db_table)
    return defaultdict(bytes, {key: _digest(rows) for key, rows in found.items()})


def _rows_in(rows: QuerySet[Any], *more: str) -> list[Any]:
    """`more` and every column, as the database gives them: nothing is made of any value."""
    columns = [column.attname for column in rows.model._meta.concrete_fields]
    with connection.cursor() as cursor:
        cursor.execute(*rows.values_list(*more, *columns).query.sql_with_params())
        return cursor.fetchall()


def _digest(rows: Sequence[Any]) -> bytes:
    return hashlib.blake2b(json.dumps(rows, default=str).encode(), digest_size=16).digest()
