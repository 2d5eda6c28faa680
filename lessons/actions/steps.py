"""Steps of a draft: each change is kept with what stood before it, and can be taken back."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from curriculum.models import Figure
from lessons.models import (
    DraftStep,
    LessonSession,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanSet,
    TermPlan,
)
from lessons.problems.rows import first_to_come
from lessons.rules.draft_words import Called, DraftState, Stand, told
from school import clock
from school.models import Person

logger = logging.getLogger(__name__)

# So many steps of a draft are kept; older ones can no longer be taken back.
KEPT = 60
_FIELDS = ("required", "importance", "parts", "earliest_id", "latest_id", "pinned_id")
_recording: ContextVar[bool] = ContextVar("a step is being made", default=False)


@contextmanager
def one_step(*, plan: TermPlan, by: Person | None) -> Iterator[None]:
    """Whatever is written to the draft inside is one step, and one transaction. Steps do not nest: what is
    made inside another belongs to that one. Twelve queries beside those of what is written."""
    if _recording.get():
        yield
        return
    token = _recording.set(True)
    try:
        with transaction.atomic():
            before = read_draft(plan)
            yield
            _keep(plan, by, before, read_draft(plan))
    finally:
        _recording.reset(token)


@contextmanager
def no_step() -> Iterator[None]:
    """What is written to a draft inside leaves no step of its own."""
    token = _recording.set(True)
    try:
        yield
    finally:
        _recording.reset(token)


def read_draft(plan: TermPlan) -> DraftState:
    """The draft's figures (by the figure's primary key) and sets as they stand. Six queries at most."""
    rows = list(
        PlanFigure.objects.filter(plan=plan)
        .order_by("figure__level__rank", "figure__order", "figure_id")
        .values_list("pk", "figure_id", *_FIELDS)
    )
    new: dict[int, list[int]] = {}
    for row, lesson in (
        PlanIntroduction.objects.filter(plan_figure__plan=plan)
        .order_by("part")
        .values_list("plan_figure_id", "lesson_id")
    ):
        new.setdefault(row, []).append(lesson)
    again: dict[int, list[tuple[int, int]]] = {}
    reviews = PlanReview.objects.filter(plan_figure__plan=plan).order_by("lesson__date", "lesson__start")
    for row, lesson, due in reviews.values_list("plan_figure_id", "lesson_id", "due_id"):
        again.setdefault(row, []).append((lesson, due))
    barred: dict[int, list[int]] = {}
    bars = PlanBar.objects.filter(plan_figure__plan=plan).order_by("lesson__date", "lesson__start")
    for row, lesson in bars.values_list("plan_figure_id", "lesson_id"):
        barred.setdefault(row, []).append(lesson)
    return DraftState(
        {
            figure: Stand(
                *demands, tuple(new.get(pk, ())), tuple(again.get(pk, ())), tuple(barred.get(pk, ()))
            )
            for pk, figure, *demands in rows
        },
        _read_sets(plan),
    )


def undo_from(plan: TermPlan, step: DraftStep, by: Person) -> list[str]:
    """Undo `step` and all that came after it, newest first; answers what was undone, in sentences.

    It writes without asking whose turn it is: `lessons.actions.undo` does.
    """
    steps = list(plan.steps.filter(version__gte=step.version, taken_back__isnull=True).order_by("-version"))
    if not steps or steps[-1].pk != step.pk:
        raise ValidationError("This has been taken back already.")
    said = []
    for one in steps:
        _restore(plan, one.before)
        said += one.said
    version = TermPlan.objects.values_list("version", flat=True).get(pk=plan.pk)
    DraftStep.objects.filter(pk__in=[one.pk for one in steps]).update(taken_back=version, taken_back_by=by)
    return said


def said_since(plan: TermPlan, version: int, *, until: int | None = None) -> list[tuple[str, list[str]]]:
    """(who, what they did, in sentences) of every step after `version`, the oldest first; `until`: of those
    before that version only. One query."""
    rows = plan.steps.filter(version__gt=version) | plan.steps.filter(taken_back__gt=version)
    if until is not None:
        rows = rows.filter(version__lt=until)
    news = []
    for step in rows.select_related("by", "taken_back_by").order_by("version"):
        if step.version > version and step.taken_back is None:
            news.append((_name(step.by), list(step.said)))
        elif step.version <= version:
            news.append((_name(step.taken_back_by), [f"Taken back: {sentence}" for sentence in step.said]))
    return news


def _name(person: Person | None) -> str:
    return person.name if person else "Somebody"


def _keep(plan: TermPlan, by: Person | None, before: DraftState, after: DraftState) -> None:
    changed = {
        key: before.figures.get(key)
        for key in {**before.figures, **after.figures}
        if before.figures.get(key) != after.figures.get(key)
    }
    kept: dict[str, Any] = {"figures": {str(key): _as_json(stand) for key, stand in changed.items()}}
    if before.sets != after.sets:
        kept["sets"] = before.sets
    if not changed and "sets" not in kept:
        return
    version = TermPlan.objects.values_list("version", flat=True).get(pk=plan.pk)
    DraftStep.objects.create(
        plan=plan,
        version=version,
        by=by,
        made_at=clock.now(),
        said=told(before, after, _called(plan, before, after)),
        before=kept,
    )
    plan.steps.filter(version__lte=version - KEPT).delete()


def _called(plan: TermPlan, before: DraftState, after: DraftState) -> Called:
    """Names of all figures either state has, and the numbers of the course's lessons. Two queries."""
    figures = Figure.objects.filter(pk__in={**before.figures, **after.figures})
    lessons = LessonSession.objects.given().filter(course=plan.course_id).in_order()
    rows = tuple(lessons.select_related("record"))
    return Called(
        dict(figures.values_list("pk", "name")),
        {lesson.pk: number for number, lesson in enumerate(rows, start=1)},
        frozenset(lesson.pk for lesson in rows[: first_to_come(rows, clock.today())]),
    )


def _read_sets(plan: TermPlan) -> tuple[tuple[str, tuple[int, ...]], ...]:
    members: dict[tuple[int, str], list[int]] = {}
    rows = PlanSet.objects.filter(plan=plan, figures__isnull=False).order_by("pk", "figures__figure__order")
    for pk, kind, figure in rows.values_list("pk", "kind", "figures__figure_id"):
        members.setdefault((pk, kind), []).append(figure)
    return tuple((kind, tuple(figures)) for (_, kind), figures in members.items())


def _as_json(stand: Stand | None) -> list[Any] | None:
    if stand is None:
        return None
    demands = [stand.required, stand.importance, stand.parts, stand.earliest, stand.latest, stand.pinned]
    return [*demands, stand.new, stand.again, stand.barred]


def _restore(plan: TermPlan, before: dict[str, Any]) -> None:
    figures = before["figures"]
    rows = {row.figure_id: row for row in plan.figures.filter(figure__in=figures)}
    gone = [rows[int(key)].pk for key, stand in figures.items() if stand is None and int(key) in rows]
    plan.figures.filter(pk__in=gone).delete()
    for key, stand in figures.items():
        if stand is not None:
            _restore_figure(rows.get(int(key)) or PlanFigure(plan=plan, figure_id=int(key)), stand)
    if "sets" in before:
        _restore_sets(plan, before["sets"])


def _restore_figure(row: PlanFigure, stand: list[Any]) -> None:
    *demands, new, again, barred = stand
    for field, value in zip(_FIELDS, demands, strict=True):
        setattr(row, field, value)
    row.save()
    for rows in (row.introductions, row.reviews, row.bars):
        rows.all().delete()
    PlanIntroduction.objects.bulk_create(
        PlanIntroduction(plan_figure=row, part=part, lesson_id=lesson) for part, lesson in enumerate(new)
    )
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=row, lesson_id=lesson, due_id=due) for lesson, due in again
    )
    PlanBar.objects.bulk_create(PlanBar(plan_figure=row, lesson_id=lesson) for lesson in barred)


def _restore_sets(plan: TermPlan, sets: list[Any]) -> None:
    plan.sets.all().delete()
    rows = {row.figure_id: row for row in plan.figures.all()}
    for kind, members in sets:
        held = [rows[figure] for figure in members if figure in rows]
        if len(held) > 1:
            PlanSet.objects.create(plan=plan, kind=kind).figures.set(held)
