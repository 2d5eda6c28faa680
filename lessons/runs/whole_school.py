"""The whole school being planned, on one page: how far each course is, and what came of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lessons.actions.school_runs import courses_to_plan
from lessons.board.outcome import progress_shown
from lessons.courses.in_step import out_of_step
from lessons.models import PlanRun, PlanStatus, RunStatus, SchoolRun
from lessons.rules.quality import quality
from lessons.runs.signs import worker_is_alive
from lessons.today.director_needs import double_bookings_until
from school.models import Term


@dataclass(frozen=True)
class CourseLine:
    """A course's run. `says`: how far it is, or what came of it; `share`: per cent of its time, while it
    goes on; `tied`: the courses it is planned together with."""

    run: PlanRun
    says: str
    share: int | None
    tied: tuple[str, ...]
    tone: str


def school_run_page(school_run: SchoolRun) -> dict[str, Any]:
    """Four queries, whatever the number of courses."""
    runs = list(school_run.runs.select_related("plan__course").order_by("plan__course__key", "pk"))
    together = _together(runs)
    lines = [_line(run, together.get(run.led_by_id or run.pk, ())) for run in runs]
    over = [run for run in runs if run.is_over]
    return {
        "school_run": school_run,
        "term": school_run.term,
        "lines": lines,
        "over": len(over),
        "is_over": len(over) == len(runs),
        "to_accept": sum(_can_be_taken_over(run) for run in over),
        "worker_alive": worker_is_alive(),
        "apart": list(_apart(runs)),
    }


def before_planning(term: Term) -> dict[str, Any]:
    """What planning the school would do, before it is done."""
    tied = courses_to_plan(term)
    return {
        "term": term,
        "tied": tied,
        "courses": sum(len(courses) for courses in tied),
        "clashes": [need.sentence for need in double_bookings_until(term.last_day)],
        "last": term.school_runs.first(),
    }


def _line(run: PlanRun, tied: tuple[str, ...]) -> CourseLine:
    own = str(run.plan.course)
    others = tuple(name for name in tied if name != own)
    if run.status == RunStatus.WAITING:
        return CourseLine(run, "waits for a worker", 0, others, "")
    if run.status == RunStatus.RUNNING:
        shown = progress_shown(run)
        says = f"a plan is found, {shown['quality']}" if shown["quality"] else "looking for a plan"
        return CourseLine(run, says, int(shown["share"]), others, "")
    return CourseLine(run, *_ended(run), others, _tone(run))


def _ended(run: PlanRun) -> tuple[str, None]:
    if run.status == RunStatus.FAILED:
        return run.failure, None
    if not run.result:
        return "stopped before a plan was found", None
    said = quality(run.result["status"], [tuple(aim) for aim in run.result["aims"]])
    said += _moving(run)
    left_out = len(run.result["left_out"])
    if left_out:
        said += f", {left_out} figure{'' if left_out == 1 else 's'} left out"
    answers = {"accepted": ", taken over", "left": ", left", "holds": ": the plan holds as it is"}
    return said + answers.get(run.answered, ""), None


def _moving(run: PlanRun) -> str:
    """ ", 3 figures go to another lesson": those that stood in one before."""
    if not run.has_plan:
        return ""
    before, after = run.result["before"]["introductions"], run.result["introductions"]
    moving = sum(after.get(name, at) != at for name, at in before.items())
    return f", {moving} figure{' goes' if moving == 1 else 's go'} to another lesson" if moving else ""


def _tone(run: PlanRun) -> str:
    if run.status == RunStatus.FAILED or (run.result and run.result["status"] == "impossible"):
        return "bad"
    return "good" if run.has_plan else "warn"


def _can_be_taken_over(run: PlanRun) -> bool:
    """Whether its plan still is for the draft as it stands; that lessons moved is said when it is tried."""
    stands = run.plan.status == PlanStatus.DRAFT and run.plan.version == run.plan_version
    return stands and run.has_plan and not run.answered


def _together(runs: list[PlanRun]) -> dict[int, tuple[str, ...]]:
    """Leading run (pk) -> names of all courses of its task, where they are several."""
    groups: dict[int, list[str]] = {}
    for run in runs:
        groups.setdefault(run.led_by_id or run.pk, []).append(str(run.plan.course))
    return {leader: tuple(names) for leader, names in groups.items() if len(names) > 1}


def _apart(runs: list[PlanRun]) -> Iterator[str]:
    """What tied courses still do in different weeks, and why."""
    groups: dict[int, list[PlanRun]] = {}
    for run in runs:
        groups.setdefault(run.led_by_id or run.pk, []).append(run)
    for tied in groups.values():
        if len(tied) > 1 and all(run.has_plan for run in tied):
            yield from out_of_step(tied)
