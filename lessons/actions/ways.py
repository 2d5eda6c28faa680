"""One of the ways out of a conflict is taken: the draft gives way in that one demand."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError

from lessons.actions.errors import Overtaken
from lessons.actions.plans import DemandsOnFigure, set_demands
from lessons.actions.sets import drop_set
from lessons.actions.steps import one_step
from lessons.models import LessonSession, PlanFigure, PlanRun, TermPlan
from school.models import Person

# Kinds of demand that are the draft's own; others are the course's, a lesson's or the syllabus's.
ON_THE_DRAFT = frozenset({"pinned", "earliest", "latest", "barred", "required", "together", "apart"})


def take_way(*, run: PlanRun, number: int, by: Person) -> str:
    """Change the run's draft as the way of that number says; answers it in a sentence.

    Raises Overtaken where the draft has changed since the run; ValidationError where the way is not one of
    the draft's own, or not there any more.
    """
    plan = run.plan
    if plan.version != run.plan_version:
        raise Overtaken(
            "The draft was changed after this run began. Plan the term again, and see what stands."
        )
    way = _way(run, number)
    with one_step(plan=plan, by=by):
        if way["kind"] in {"together", "apart"}:
            _let_go(plan, way, by)
        else:
            # Where more is required than there is room for, several figures are left out at once.
            for key in way["keys"]:
                row = _row(plan, key)
                demands = _demands(row, way, run.result["lessons"])
                set_demands(plan=plan, version=plan.version, plan_figure=row, by=by, **demands)
    return str(way["sentence"])


def _way(run: PlanRun, number: int) -> dict[str, Any]:
    ways = (run.result or {}).get("ways", [])
    if not 0 <= number < len(ways) or ways[number]["kind"] not in ON_THE_DRAFT:
        raise ValidationError("That is no way out of this draft's own.")
    way: dict[str, Any] = ways[number]
    return way


def _row(plan: TermPlan, name: str) -> PlanFigure:
    row = plan.figures.filter(figure__name=name).prefetch_related("bars__lesson").first()
    if row is None:
        raise ValidationError(f"This draft does not teach {name} any more.")
    return row


def _demands(row: PlanFigure, way: dict[str, Any], lessons: list[int]) -> DemandsOnFigure:
    match way["kind"]:
        case "required":
            # A figure that may be left out is not kept in a lesson either.
            return DemandsOnFigure(required=False)
        case "barred":
            freed = lessons[way["lessons"][0]]
            return DemandsOnFigure(barred=[bar.lesson for bar in row.bars.all() if bar.lesson_id != freed])
    value = way["value"]
    lesson = None if value is None else LessonSession.objects.get(pk=lessons[value])
    demands: DemandsOnFigure = {}
    demands[way["kind"]] = lesson
    return demands


def _let_go(plan: TermPlan, way: dict[str, Any], by: Person) -> None:
    wanted = set(way["keys"])
    for row in plan.sets.filter(kind=way["kind"]).prefetch_related("figures__figure"):
        if wanted <= {member.figure.name for member in row.figures.all()}:
            drop_set(plan=plan, version=plan.version, plan_set=row, by=by)
            return
    raise ValidationError("That demand is not asked for any more.")
