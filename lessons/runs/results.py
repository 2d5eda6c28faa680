"""What a planning run's row holds once it has ended: a plan in figure names and lesson indices, as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lessons.planners.again import Again, Proposal
from lessons.planners.term import Progress, TermPlan
from lessons.planners.term_values import Aim, Reason
from lessons.planners.ways_out import WayOut
from lessons.problems import CourseProblem, placements, spoken_day
from lessons.problems.loads import loads
from lessons.problems.standing import reading
from lessons.rules.why_moves import Question, why_moves


def progress_of(progress: Progress) -> dict[str, Any]:
    """What PlanRun.progress holds: aims as [name, value, bound], and the seconds so far."""
    return {"aims": _aims(progress.aims), "seconds": round(progress.seconds, 1)}


def result_of(problem: CourseProblem, plan: TermPlan, ways: Sequence[WayOut] = ()) -> dict[str, Any]:
    """What PlanRun.result holds: the plan in figure names and lesson indices, and the lessons (pk) meant.

    `before` is what stood when the run read it, so that a run can be read long after it was accepted.
    `loads`: [new, again, room] a lesson. `reasons`: the conflict, demand by demand; `ways`: what would undo
    it, as it was tried. `holds`: nothing stands elsewhere than before.
    """
    said = _plan_of(problem, plan)
    before = _before(problem)
    return {
        **said,
        "conflict": [reason.sentence for reason in plan.conflict],
        "reasons": [_reason(problem, reason) for reason in plan.conflict],
        "ways": [_way(plan.conflict, way) for way in ways],
        "holds": _holds(said, before),
        **_meant(problem, before),
    }


def again_result(problem: CourseProblem, again: Again, ways: Sequence[WayOut] = ()) -> dict[str, Any]:
    """The same for the rest of a term planned again: `proposals`, each a plan with its `name` and `why`.

    `status`: of the first proposal; "impossible" where there is none and the conflict says why, else
    "unknown". `gave_way`: figures whose pin had to. `reading`: a mark of what the planner was told.
    """
    first = again.proposals[0].plan.status if again.proposals else ""
    return {
        "status": first or ("impossible" if again.conflict else "unknown"),
        "proposals": [_proposal(problem, proposal) for proposal in again.proposals],
        "conflict": [reason.sentence for reason in again.conflict],
        "reasons": [_reason(problem, reason) for reason in again.conflict],
        "ways": [_way(again.conflict, way) for way in ways],
        "gave_way": list(again.gave_way),
        "holds": again.holds,
        "reading": reading(problem),
        **_meant(problem, _before(problem)),
    }


def _proposal(problem: CourseProblem, proposal: Proposal) -> dict[str, Any]:
    before, _ = placements(problem)
    question = Question(
        problem=proposal.problem,
        before=before,
        after=proposal.plan.introductions,
        days=tuple(spoken_day(lesson.date) for lesson in problem.lessons),
        lost=problem.lost,
    )
    return {"name": proposal.name, **_plan_of(problem, proposal.plan), "why": why_moves(question)}


def _plan_of(problem: CourseProblem, plan: TermPlan) -> dict[str, Any]:
    again = [(review.key, review.index) for review in plan.reviews]
    return {
        "status": plan.status,
        "introductions": dict(plan.introductions),
        "reviews": [[review.key, review.index, review.due] for review in plan.reviews],
        "left_out": list(plan.left_out),
        "minutes": list(plan.minutes),
        "aims": _aims(plan.aims),
        "loads": _loads(problem, plan.introductions, again),
    }


def _meant(problem: CourseProblem, before: dict[str, Any]) -> dict[str, Any]:
    """Of which lessons, as what stood, and on what assumptions."""
    return {
        "lessons": [lesson.pk for lesson in problem.lessons],
        "first_to_come": problem.first_to_come,
        "before": before,
        "notes": list(problem.notes),
    }


def _before(problem: CourseProblem) -> dict[str, Any]:
    introductions, reviews = placements(problem)
    stood = [(review.key, review.index) for review in reviews]
    return {
        "introductions": introductions,
        "reviews": [list(pair) for pair in stood],
        "loads": _loads(problem, introductions, stood),
    }


def _holds(said: dict[str, Any], before: dict[str, Any]) -> bool:
    again = sorted([key, index] for key, index, _ in said["reviews"])
    same = said["introductions"] == before["introductions"] and again == sorted(before["reviews"])
    return bool(said["introductions"]) and same


def _aims(aims: Iterable[Aim]) -> list[list[Any]]:
    return [[aim.name, aim.value, aim.bound] for aim in aims]


def _way(conflict: Sequence[Reason], way: WayOut) -> dict[str, Any]:
    """A way out of a conflict. `reason`: its place among the reasons; `aims`: what it would come to, None
    where it is not enough alone."""
    return {
        "sentence": way.sentence,
        "reason": conflict.index(way.reason),
        "kind": way.change.kind,
        "keys": list(way.change.keys),
        "lessons": list(way.change.lessons),
        "value": way.change.value,
        "aims": None if way.aims is None else _aims(way.aims),
    }


def _loads(
    problem: CourseProblem, introductions: Mapping[str, int], reviews: list[tuple[str, int]]
) -> list[list[int]]:
    found = loads(problem, introductions, reviews)
    return [[load.new, load.again, load.room] for load in found]


def _reason(problem: CourseProblem, reason: Reason) -> dict[str, Any]:
    """A demand of a conflict with what its sentence is put together from.

    `figures`: the primary keys of its keys. `limit`: what a lesson allows (minutes, or new figures).
    A need that may be met on the same evening is of the kind "after".
    """
    figures = {figure.key: figure for figure in problem.problem.figures}
    kind = reason.kind
    if kind == "need" and reason.keys[1] in figures[reason.keys[0]].after:
        kind = "after"
    slot = problem.problem.lessons[reason.lessons[0]] if reason.lessons else None
    limit = {"room": slot.minutes, "most": slot.max_new}.get(kind) if slot else None
    return {
        "kind": kind,
        "keys": list(reason.keys),
        "figures": [
            problem.plan_figures[key].figure_id for key in reason.keys if key in problem.plan_figures
        ],
        "lessons": list(reason.lessons),
        "limit": limit,
        "sentence": reason.sentence,
    }
