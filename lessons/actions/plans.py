"""Writes to term plans. Each is one transaction; each asks for the version the writer was looking at."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from curriculum.models import Figure
from lessons.actions.copies import copy_plan
from lessons.actions.drafts import name_of_draft
from lessons.actions.errors import PlanHasBreaches
from lessons.actions.runs import accept_run, leave_run, start_run, stop_run
from lessons.actions.sets import drop_lonely_sets
from lessons.actions.turns import in_turn
from lessons.courses.knowledge import known_figures
from lessons.models import (
    Course,
    LessonSession,
    PlanBar,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    TermPlan,
)
from lessons.problems import CourseProblem, course_problem, findings
from lessons.problems.answers import reviews_if_new_in
from lessons.problems.places import placements
from lessons.problems.wording import spoken_day
from school import clock
from school.models import Person

__all__ = [
    "accept_run",
    "choose_figures",
    "leave_run",
    "move_introduction",
    "publish_plan",
    "set_demands",
    "start_draft",
    "start_run",
    "stop_run",
]


class DemandsOnFigure(TypedDict, total=False):
    """What may be asked of a figure; what is not given stays. A lesson of None takes a demand away."""

    pinned: LessonSession | None
    earliest: LessonSession | None
    latest: LessonSession | None
    required: bool
    importance: int
    parts: int
    barred: Iterable[LessonSession]


@transaction.atomic
def start_draft(*, course: Course, by: Person | None, source: TermPlan | None = None) -> TermPlan:
    """A new draft: a copy of `source`, or else of the published plan, with all its demands and places.

    A course without either begins with every figure of its levels that it does not know.
    """
    draft = TermPlan.objects.create(course=course, created_by=by, name=name_of_draft(clock.now()))
    source = source or course.plans.filter(status=PlanStatus.PUBLISHED).first()
    if source is not None:
        copy_plan(source, draft)
    else:
        figures = Figure.objects.filter(level__courses=course).exclude(pk__in=known_figures(course))
        PlanFigure.objects.bulk_create(
            PlanFigure(plan=draft, figure=figure) for figure in figures.in_teaching_order()
        )
    return draft


@in_turn
def choose_figures(*, plan: TermPlan, version: int, figures: Iterable[Figure], by: Person) -> None:
    """Make the draft teach exactly `figures`: those it has keep their demands and places."""
    wanted = {figure.pk: figure for figure in figures}
    strangers = [figure.name for figure in wanted.values() if figure.dance_id != plan.course.dance_id]
    if strangers:
        raise ValidationError({"figures": f"{strangers[0]} belongs to another dance."})
    plan.figures.exclude(figure__in=wanted).delete()
    drop_lonely_sets(plan)
    present = set(plan.figures.values_list("figure", flat=True))
    PlanFigure.objects.bulk_create(
        PlanFigure(plan=plan, figure=figure) for pk, figure in wanted.items() if pk not in present
    )


@in_turn
def move_introduction(
    *,
    plan: TermPlan,
    version: int,
    plan_figure: PlanFigure,
    lesson: LessonSession | None,
    by: Person,
    read: CourseProblem | None = None,
) -> None:
    """Put a figure's first part into `lesson`, further parts into the lessons after it; None takes it out.

    Its reviews stay where they still may stand and else move with it (`kept_ticks`). What this breaks is for
    `findings` to say; only what cannot be written down is refused: a lesson that has been or does not take
    place, a figure already taught. `read`: the plan's problem at `version`, if the caller has it.
    """
    problem = read or course_problem(plan)
    key = plan_figure.figure.name
    if key not in problem.plan_figures or plan_figure.plan_id != plan.pk:
        raise ValidationError({"lesson": f"{key} is known already: there is nothing to place."})
    standing, _ = placements(problem)
    if standing.get(key, problem.first_to_come) < problem.first_to_come:
        day = spoken_day(problem.lessons[standing[key]].date)
        raise ValidationError({"lesson": f"{key} has been taught on {day}; it cannot be moved."})
    index = None if lesson is None else _index_to_come(problem, lesson)
    PlanIntroduction.objects.filter(plan_figure=plan_figure).delete()
    PlanReview.objects.filter(plan_figure=plan_figure).delete()
    if index is not None:
        _place(problem, plan_figure, index)


@in_turn
def set_demands(
    *,
    plan: TermPlan,
    version: int,
    plan_figure: PlanFigure,
    by: Person,
    **demands: Unpack[DemandsOnFigure],
) -> None:
    """Set what is asked of a figure; only what is given changes. Where it stands stays, save that a change
    of `parts` lays it anew from its first lesson. ValidationError names the field."""
    changes: dict[str, Any] = dict(demands)
    barred = changes.pop("barred", None)
    for field in ("pinned", "earliest", "latest"):
        _refuse_strange_lesson(plan, field, changes.get(field))
    row = plan.figures.select_related("figure").get(pk=plan_figure.pk)
    parts_before = row.parts
    for field, value in changes.items():
        setattr(row, field, value)
    _refuse_contradiction(row)
    row.full_clean(validate_unique=False, validate_constraints=False)
    row.save()
    if barred is not None:
        _set_bars(plan, row, barred)
    if row.parts != parts_before:
        _lay_anew(plan, row)


@in_turn
def publish_plan(*, plan: TermPlan, version: int, by: Person, even_so: bool = False) -> None:
    """Make the draft the course's published plan and retire the one before.

    Raises PlanHasBreaches where the check finds something, unless the director publishes `even_so`.
    """
    broken = findings(plan)
    if broken and not even_so:
        raise PlanHasBreaches(broken)
    published = TermPlan.objects.filter(course=plan.course_id, status=PlanStatus.PUBLISHED)
    now = timezone.now()
    published.update(status=PlanStatus.RETIRED, retired_at=now, version=F("version") + 1)
    plan.status = PlanStatus.PUBLISHED
    plan.published_at = now
    plan.published_by = by
    plan.save(update_fields=["status", "published_at", "published_by"])


def _index_to_come(problem: CourseProblem, lesson: LessonSession) -> int:
    for index, other in enumerate(problem.lessons):
        if other.pk == lesson.pk:
            if index < problem.first_to_come:
                raise ValidationError({"lesson": f"The lesson of {spoken_day(lesson.date)} has been."})
            return index
    raise ValidationError({"lesson": "That lesson does not take place in this course."})


def _place(problem: CourseProblem, row: PlanFigure, index: int) -> None:
    """Write the parts that fit before the term ends (the check names those that do not), and the reviews."""
    parts = problem.lessons[index : index + row.parts]
    PlanIntroduction.objects.bulk_create(
        PlanIntroduction(plan_figure=row, part=part, lesson=lesson) for part, lesson in enumerate(parts)
    )
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=row, lesson=problem.lessons[at], due=problem.lessons[due])
        for at, due in reviews_if_new_in(problem, row.figure.name, index)
    )


def _lay_anew(plan: TermPlan, row: PlanFigure) -> None:
    problem = course_problem(plan)
    standing, _ = placements(problem)
    index = standing.get(row.figure.name, -1)
    if index >= problem.first_to_come:
        row.introductions.all().delete()
        row.reviews.all().delete()
        _place(problem, row, index)


def _set_bars(plan: TermPlan, row: PlanFigure, barred: Iterable[LessonSession]) -> None:
    lessons = list(barred)
    for lesson in lessons:
        _refuse_strange_lesson(plan, "barred", lesson)
    row.bars.all().delete()
    PlanBar.objects.bulk_create(PlanBar(plan_figure=row, lesson=lesson) for lesson in lessons)


def _refuse_strange_lesson(plan: TermPlan, field: str, lesson: LessonSession | None) -> None:
    if lesson is not None and lesson.course_id != plan.course_id:
        raise ValidationError({field: "That lesson belongs to another course."})


def _refuse_contradiction(row: PlanFigure) -> None:
    minutes = row.figure.minutes_to_introduce
    if row.parts > minutes:
        raise ValidationError(
            {"parts": f"{row.figure} takes {minutes} minutes; it cannot have {row.parts} parts."}
        )
    if row.earliest and row.latest and row.latest.date < row.earliest.date:
        raise ValidationError({"latest": "The latest lesson lies before the earliest."})
