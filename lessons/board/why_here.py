"""Why is this figure here? The nearest lesson that would be better, and what stands in its way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lessons.models import LessonSession, PlanFigure, TermPlan
from lessons.planners.places import Place
from lessons.planners.why_here import why_here
from lessons.problems import CourseProblem, course_problem, placements
from lessons.rules.cost_words import Cost, costs


@dataclass(frozen=True)
class Elsewhere:
    """Another lesson for a figure: what would be better or worse, and what stands in the way (in sentences;
    nothing, where it may go there)."""

    number: int
    lesson: LessonSession
    costs: tuple[Cost, ...]
    against: str


@dataclass(frozen=True)
class WhyHere:
    """`number`, `lesson`: where it stands, None for nowhere. `better`: the nearest lesson to come whose plan
    would be better, None where there is none; `before`, `behind`: the nearest lessons on either side.
    `is_settled`: it was taught there, or begun and is finished there."""

    row: PlanFigure
    number: int | None
    lesson: LessonSession | None
    better: Elsewhere | None = None
    before: Elsewhere | None = None
    behind: Elsewhere | None = None
    is_settled: bool = False


def why_here_page(plan: TermPlan, figure: int) -> dict[str, Any] | None:
    """None where the plan does not teach that figure (its primary key)."""
    problem = course_problem(plan)
    row = next((row for row in problem.plan_figures.values() if row.figure_id == figure), None)
    if row is None:
        return None
    name = row.figure.name
    introductions, reviews = placements(problem)
    at, first = introductions.get(name), problem.first_to_come
    if name in problem.problem.unfinished or (at is not None and at < first):
        lesson = None if at is None else problem.lessons[at]
        return {"plan": plan, "why": WhyHere(row, None if at is None else at + 1, lesson, is_settled=True)}
    own = ("pinned", (name,))
    why = why_here(problem.problem, introductions, reviews, name)
    return {
        "plan": plan,
        "why": WhyHere(
            row,
            None if at is None else at + 1,
            None if at is None else problem.lessons[at],
            _elsewhere(problem, why.better, own),
            _elsewhere(problem, why.before, own),
            _elsewhere(problem, why.behind, own),
        ),
    }


def _elsewhere(
    problem: CourseProblem, place: Place | None, own_pin: tuple[str, tuple[str, ...]]
) -> Elsewhere | None:
    if place is None or place.index is None:
        return None
    against = [one.sentence for one in place.findings if (one.kind, one.keys) != own_pin]
    changes = costs(place.aims_before, place.aims_after)
    return Elsewhere(place.index + 1, problem.lessons[place.index], changes, " ".join(against))
