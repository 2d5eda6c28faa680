"""The rest of a term planned again, on its page: what would move beside the published plan, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from lessons.board.conflict import because
from lessons.board.outcome import Place, ReviewMove, lessons_of, place_at, progress_shown, review_moves
from lessons.models import LessonSession, PlanRun, PlanStatus
from lessons.people.nobody_in_front import lessons_nobody_takes
from lessons.planners.again import LEAVE_NOTHING_OUT, MOVE_LEAST
from lessons.problems import course_problem
from lessons.problems.standing import reading
from lessons.rules.offer_words import sums
from lessons.runs.signs import worker_is_alive

TITLES = {LEAVE_NOTHING_OUT: "Nothing is left out", MOVE_LEAST: "As little moves as can be"}
LEAVE_LITTLE_OUT = "As little is left out as can be"
# What could give way is told as far as somebody still reads it.
MOST_WAYS = 4


@dataclass(frozen=True)
class Reasoned:
    """A figure that goes from one lesson (its number and row) to another, None for no lesson, and why."""

    name: str
    before: Place | None
    after: Place | None
    why: str


@dataclass(frozen=True)
class Offered:
    """A proposal as it is offered. `left_out`: names, those that stand in no lesson now among them."""

    name: str
    title: str
    moves: tuple[Reasoned, ...]
    reviews: tuple[ReviewMove, ...]
    left_out: tuple[str, ...]
    sums: str


def again_page(run: PlanRun) -> dict[str, Any]:
    """What the page shows: `progress` while it goes on, then the proposals. As many queries as for one plan
    whatever its size."""
    if not run.is_over:
        return {"progress": progress_shown(run), "worker_alive": worker_is_alive()}
    result = run.result
    if not result:
        return {}
    lessons = lessons_of(result)
    shown: dict[str, Any] = {"result": result, "holds": result["holds"], "gave_way": result["gave_way"]}
    if result["conflict"]:
        shown["because"] = because(run, result, lessons)
        ways = (way for one in shown["because"] for way in one.ways if way.is_enough)
        shown["ways"] = list(islice(ways, MOST_WAYS))
    shown["proposals"] = offered(result, lessons)
    shown["bare"] = lessons_nobody_takes(run.plan.course)
    shown["is_overtaken"] = not run.answered and is_overtaken(run)
    return shown


def is_overtaken(run: PlanRun) -> bool:
    """Whether the plan or the course are others than when the run read them."""
    plan = run.plan
    if plan.status != PlanStatus.PUBLISHED or plan.version != run.plan_version or not run.result:
        return True
    return reading(course_problem(plan)) != run.result["reading"]


def offered(result: dict[str, Any], lessons: Sequence[LessonSession]) -> list[Offered]:
    """The result's proposals, beside what stood before. No query."""
    shown = []
    for proposal in result["proposals"]:
        before, after = result["before"]["introductions"], proposal["introductions"]
        moves = tuple(
            Reasoned(name, place_at(lessons, before.get(name)), place_at(lessons, after.get(name)), why)
            for name, why in proposal["why"].items()
        )
        again = review_moves(result["before"]["reviews"], [[key, at] for key, at, _ in proposal["reviews"]])
        moved = {move.name for move in moves}
        shown.append(
            Offered(
                proposal["name"],
                _title(proposal),
                tuple(sorted(moves, key=lambda move: move.after[0] if move.after else len(lessons) + 1)),
                tuple(sorted(again, key=lambda one: one.name in moved)),
                tuple(proposal["left_out"]),
                sums(proposal, result["before"]),
            )
        )
    return shown


def _title(proposal: dict[str, Any]) -> str:
    """Where not everything fits any more, nothing can be left in."""
    if proposal["name"] == LEAVE_NOTHING_OUT and proposal["left_out"]:
        return LEAVE_LITTLE_OUT
    return TITLES[proposal["name"]]
