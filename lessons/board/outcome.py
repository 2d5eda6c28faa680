"""A planning run on a page: how far it is, and its plan beside what stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lessons.board.values import Gauge
from lessons.models import LessonSession, PlanRun
from lessons.problems import CourseProblem, course_problem, placements
from lessons.rules.quality import called, quality
from lessons.signs import worker_is_alive


@dataclass(frozen=True)
class Move:
    """A figure that goes from one lesson (its number and row) to another; None: in no lesson."""

    name: str
    before: tuple[int, LessonSession] | None
    after: tuple[int, LessonSession] | None


@dataclass(frozen=True)
class Compared:
    """A lesson to come with its gauge before and after."""

    number: int
    lesson: LessonSession
    before: Gauge
    after: Gauge


def outcome_of(run: PlanRun) -> dict[str, Any]:
    """What the run's page shows: `progress` while it goes on, the comparison once it has ended."""
    if not run.is_over:
        return {"progress": _progress(run), "worker_alive": worker_is_alive()}
    result = run.result
    if not result:
        return {}
    shown: dict[str, Any] = {
        "result": result,
        "quality": quality(result["status"], [tuple(aim) for aim in result["aims"]]),
        "aims": [(called(name), value, bound) for name, value, bound in result["aims"]],
        "has_plan": result["status"] in {"optimal", "feasible"},
    }
    return shown | (_comparison(run, result) if shown["has_plan"] else {})


def _progress(run: PlanRun) -> dict[str, Any]:
    aims = [tuple(aim) for aim in run.progress.get("aims", ())]
    seconds = float(run.progress.get("seconds", 0))
    return {
        "seconds": seconds,
        "share": min(round(100 * seconds / run.seconds), 100),
        "quality": quality("feasible", aims) if aims else "",
    }


def _comparison(run: PlanRun, result: dict[str, Any]) -> dict[str, Any]:
    problem = course_problem(run.plan)
    if [lesson.pk for lesson in problem.lessons] != result["lessons"]:
        return {"is_overtaken": True}
    before, reviews = placements(problem)
    after = {key: at for key, at in result["introductions"].items() if key in problem.plan_figures}
    planned = [(key, index) for key, index, _ in result["reviews"] if key in problem.plan_figures]
    names = [name for name in problem.plan_figures if before.get(name) != after.get(name)]
    old, new = {(review.key, review.index) for review in reviews}, set(planned)
    gauges = _gauges(problem, before, sorted(old)), _gauges(problem, after, planned)
    return {
        "moves": [
            Move(name, _at(problem, before.get(name)), _at(problem, after.get(name))) for name in names
        ],
        "reviews_moved": len(new - old),
        "compared": [
            Compared(index + 1, problem.lessons[index], gauges[0][index], gauges[1][index])
            for index in range(problem.first_to_come, len(problem.lessons))
        ],
        "tallest": max([1, *(max(gauge.room, gauge.used) for both in gauges for gauge in both)]),
        "is_overtaken": run.plan.version != run.plan_version and not run.answered,
    }


def _at(problem: CourseProblem, index: int | None) -> tuple[int, LessonSession] | None:
    return None if index is None else (index + 1, problem.lessons[index])


def _gauges(
    problem: CourseProblem, introductions: dict[str, int], reviews: list[tuple[str, int]]
) -> list[Gauge]:
    """Every lesson's minutes with these placements; history weighs nothing."""
    figures = {figure.key: figure for figure in problem.problem.figures}
    slots = problem.problem.lessons
    new, again = [0] * len(slots), [0] * len(slots)
    for key, at in introductions.items():
        owed = problem.problem.unfinished.get(key)
        shares = figures[key].part_minutes() if owed is None else (owed,)
        for lesson, minutes in zip(range(at, len(slots)), shares, strict=False):
            new[lesson] += minutes
    for key, at in reviews:
        again[at] += figures[key].review_minutes
    return [Gauge(new[slot.index], again[slot.index], slot.minutes) for slot in slots]
