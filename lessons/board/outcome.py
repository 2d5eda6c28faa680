"""A planning run on a page: how far it is, and its plan beside what stood before it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lessons.board.conflict import because
from lessons.board.values import Gauge
from lessons.models import LessonSession, PlanRun
from lessons.rules.quality import called, quality
from lessons.runs.signs import worker_is_alive

Place = tuple[int, LessonSession]


@dataclass(frozen=True)
class Move:
    """A figure that goes from one lesson (its number and row) to another; None: in no lesson."""

    name: str
    before: Place | None
    after: Place | None


@dataclass(frozen=True)
class ReviewMove:
    """A figure whose reviews come in other lessons (their numbers) than before."""

    name: str
    before: tuple[int, ...]
    after: tuple[int, ...]


@dataclass(frozen=True)
class Compared:
    """A lesson that was to come, with its gauge before and after."""

    number: int
    lesson: LessonSession
    before: Gauge
    after: Gauge


def outcome_of(run: PlanRun) -> dict[str, Any]:
    """What the run's page shows: `progress` while it goes on, once it has ended what it came to.

    Everything is told from the run's own result, so it reads the same after it was accepted.
    """
    if not run.is_over:
        return {"progress": progress_shown(run), "worker_alive": worker_is_alive()}
    result = run.result
    if not result:
        return {}
    lessons = lessons_of(result)
    shown: dict[str, Any] = {
        "result": result,
        "quality": quality(result["status"], [tuple(aim) for aim in result["aims"]]),
        "aims": [(called(name), value, bound) for name, value, bound in result["aims"]],
        "has_plan": run.has_plan,
        "holds": bool(result.get("holds")),
        "is_overtaken": not run.answered and _is_overtaken(run, result),
    }
    if run.has_plan:
        return shown | _comparison(result, lessons)
    return shown | {"because": because(run, result, lessons)}


def lessons_of(result: dict[str, Any]) -> list[LessonSession]:
    """The lessons a result speaks of, in its order. One query."""
    rows = LessonSession.objects.in_bulk(result["lessons"])
    return [rows[pk] for pk in result["lessons"] if pk in rows]


def _is_overtaken(run: PlanRun, result: dict[str, Any]) -> bool:
    """Whether the draft, or the lessons that take place, are others than when the run read them."""
    if run.plan.version != run.plan_version:
        return True
    given = LessonSession.objects.given().filter(course=run.plan.course_id).in_order()
    return list(given.values_list("pk", flat=True)) != result["lessons"]


def progress_shown(run: PlanRun) -> dict[str, Any]:
    aims = [tuple(aim) for aim in run.progress.get("aims", ())]
    seconds = float(run.progress.get("seconds", 0))
    return {
        "seconds": seconds,
        "share": min(round(100 * seconds / run.seconds), 100),
        "quality": quality("feasible", aims) if aims else "",
    }


def _comparison(result: dict[str, Any], lessons: list[LessonSession]) -> dict[str, Any]:
    before, after = result["before"]["introductions"], result["introductions"]
    names = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    reviews = review_moves(result["before"]["reviews"], [[key, at] for key, at, _ in result["reviews"]])
    gauges = [[Gauge(*load) for load in loads] for loads in (result["before"]["loads"], result["loads"])]
    return {
        "moves": [
            Move(name, place_at(lessons, before.get(name)), place_at(lessons, after.get(name)))
            for name in names
        ],
        "review_moves": reviews,
        "reviews_moved": sum(len(set(move.after) - set(move.before)) for move in reviews),
        "compared": [
            Compared(index + 1, lessons[index], gauges[0][index], gauges[1][index])
            for index in range(result["first_to_come"], len(lessons))
        ],
        "tallest": max([1, *(max(gauge.room, gauge.used) for both in gauges for gauge in both)]),
    }


def place_at(lessons: list[LessonSession], index: int | None) -> Place | None:
    return None if index is None else (index + 1, lessons[index])


def review_moves(before: list[list[Any]], after: list[list[Any]]) -> list[ReviewMove]:
    """Figures whose reviews stand elsewhere, in the order in which the new plan names them."""
    numbers: dict[str, tuple[list[int], list[int]]] = {}
    for side, rows in enumerate((before, after)):
        for key, at in rows:
            numbers.setdefault(key, ([], []))[side].append(at + 1)
    return [
        ReviewMove(name, tuple(sorted(old)), tuple(sorted(new)))
        for name, (old, new) in numbers.items()
        if sorted(old) != sorted(new)
    ]
