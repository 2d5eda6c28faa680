"""Drafts made from other plans: a copy of one, one that was published earlier, or another course's."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from lessons.actions.plans import start_draft
from lessons.courses.knowledge import known_figures
from lessons.models import (
    Course,
    LessonSession,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanSet,
    PlanStatus,
    TermPlan,
)
from school.clock import today
from school.models import Person

NAME_LENGTH = 80
# How a draft is called that brings back what was published, before the day of that.
AS_PUBLISHED = "As published "


@transaction.atomic
def duplicate(*, plan: TermPlan, by: Person) -> TermPlan:
    """A draft with all that stands in `plan` and is asked in it."""
    draft = start_draft(course=plan.course, by=by, source=plan)
    if plan.status == PlanStatus.DRAFT:
        _name(draft, f"Copy of {plan.name}")
    elif plan.published_at:
        day = timezone.localtime(plan.published_at)
        _name(draft, f"{AS_PUBLISHED}{day.day} {day:%B}")
    return draft


@transaction.atomic
def copy_from(*, course: Course, source: TermPlan, by: Person) -> TermPlan:
    """A draft of `course` that follows another course's plan lesson by lesson: its first lesson's figures in
    the first lesson, and so on. What the course knows already is left out; what would stand in a lesson that
    has been, or that this course does not have, stands nowhere, and no longer asks for that lesson."""
    draft = TermPlan.objects.create(course=course, created_by=by)
    _name(draft, f"From {source.course.key}, {source.course.term.name}")
    same = _same_lesson(source.course, course)
    rows = source.figures.exclude(figure__in=known_figures(course)).prefetch_related(
        "introductions", "reviews", "bars"
    )
    copies = {row.pk: _figure(draft, row, same) for row in rows}
    PlanFigure.objects.bulk_create(copies.values())
    PlanIntroduction.objects.bulk_create(
        PlanIntroduction(plan_figure=copies[row.pk], part=part, lesson_id=lesson)
        for row in rows
        for part, lesson in enumerate(_whole([one.lesson_id for one in row.introductions.all()], same))
    )
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=copies[row.pk], lesson_id=same[one.lesson_id], due_id=same[one.due_id])
        for row in rows
        for one in row.reviews.all()
        if one.lesson_id in same and one.due_id in same
    )
    PlanBar.objects.bulk_create(
        PlanBar(plan_figure=copies[row.pk], lesson_id=same[bar.lesson_id])
        for row in rows
        for bar in row.bars.all()
        if bar.lesson_id in same
    )
    for group in source.sets.prefetch_related("figures"):
        members = [copies[member.pk] for member in group.figures.all() if member.pk in copies]
        if len(members) > 1:
            PlanSet.objects.create(plan=draft, kind=group.kind).figures.set(members)
    return draft


def _name(draft: TermPlan, name: str) -> None:
    draft.name = name[:NAME_LENGTH]
    draft.save(update_fields=["name"])


def _same_lesson(source: Course, target: Course) -> dict[int, int]:
    """Lesson of the one course -> the lesson of the same number in the other, while that is to come."""
    mine = [lesson.pk for lesson in LessonSession.objects.given().filter(course=source).in_order()]
    theirs = list(LessonSession.objects.given().filter(course=target).in_order())
    return {pk: lesson.pk for pk, lesson in zip(mine, theirs, strict=False) if lesson.date >= today()}


def _figure(draft: TermPlan, row: PlanFigure, same: dict[int, int]) -> PlanFigure:
    return PlanFigure(
        plan=draft,
        figure_id=row.figure_id,
        required=row.required,
        importance=row.importance,
        parts=row.parts,
        earliest_id=same.get(row.earliest_id),
        latest_id=same.get(row.latest_id),
        pinned_id=same.get(row.pinned_id),
    )


def _whole(parts: Iterable[int], same: dict[int, int]) -> list[int]:
    """All parts of a figure, or none."""
    lessons = list(parts)
    return [same[lesson] for lesson in lessons] if all(lesson in same for lesson in lessons) else []
