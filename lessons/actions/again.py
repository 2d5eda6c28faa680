"""The rest of a term is planned again when something came between: asked for, offered, accepted or left."""

from __future__ import annotations

import logging
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F

from lessons.actions.copies import copy_plan
from lessons.actions.errors import Overtaken
from lessons.actions.runs import answer_run
from lessons.models import Course, PlanRun, PlanStatus, RunKind, TermPlan
from lessons.planners.again import SECONDS
from lessons.planners.term import Review
from lessons.problems import course_problem, course_problems, write_placements
from lessons.problems.standing import needs_planning, reading
from lessons.runs import run_rows
from school import clock
from school.models import Person

logger = logging.getLogger(__name__)


def plan_rest_again(
    *, courses: Iterable[int], by: Person | None, occasion: str, always: bool = False
) -> list[PlanRun]:
    """Ask the workers to plan the rest of these courses (pk) again where their published plan needs it.

    `occasion`: what came between, as a sentence. `always`: somebody asked for it, whether it needs it or
    not. What an earlier run had proposed is overtaken. As many queries as for one course, and a few for each
    that is planned.
    """
    plans = TermPlan.objects.filter(course__in=list(courses), status=PlanStatus.PUBLISHED)
    runs = []
    for problem in course_problems(list(plans.select_related("course"))):
        overtake(problem.plan)
        if problem.first_to_come < len(problem.lessons) and (always or needs_planning(problem)):
            runs.append(_start(problem.plan, by, occasion))
    return runs


def propose_again(*, course: Course, by: Person) -> PlanRun:
    """Somebody asks for it. ValidationError where the course has no published plan, or nothing to come."""
    runs = plan_rest_again(courses=[course.pk], by=by, occasion=f"{by} asked for it.", always=True)
    if runs:
        return runs[0]
    if course.plans.filter(status=PlanStatus.PUBLISHED).exists():
        raise ValidationError("No lesson of this course is still to come: there is nothing to plan.")
    raise ValidationError("This course has no published plan yet. Plan a draft and publish it first.")


def overtake(plan: TermPlan) -> None:
    """Proposals for the plan that nobody answered ask no longer: something has come between."""
    open_runs = plan.runs.filter(kind=RunKind.AGAIN, answered="").exclude(status__in=run_rows.GOING_ON)
    open_runs.update(answered="overtaken")


@transaction.atomic
def accept_again(*, run: PlanRun, proposal: str, by: Person) -> TermPlan:
    """Publish the run's proposal of that name in place of the plan it was made for; return the new plan.

    What the proposal leaves out counts as optional from then on, and a pin that had to give way is let go.
    Raises Overtaken where the plan or the term are not what was planned any more; ValidationError where the
    run has no such proposal.
    """
    run.refresh_from_db()
    found = [one for one in (run.result or {}).get("proposals", ()) if one["name"] == proposal]
    if not run.is_over or not found:
        raise ValidationError("This run has no such proposal.")
    answer_run(run, "accepted", by)
    old = TermPlan.objects.filter(pk=run.plan_id, version=run.plan_version, status=PlanStatus.PUBLISHED)
    if not old.update(version=F("version") + 1):
        raise Overtaken("Another plan has been published since. Nothing was taken over.")
    source = TermPlan.objects.select_related("course").get(pk=run.plan_id)
    if reading(course_problem(source)) != run.result["reading"]:
        raise Overtaken("Something has changed in this course since. Plan the rest again.")
    now = clock.now()
    TermPlan.objects.filter(pk=source.pk).update(status=PlanStatus.RETIRED, retired_at=now)
    new = TermPlan.objects.create(
        course=source.course, name="Plan", created_by=by, status=PlanStatus.PUBLISHED,
        published_at=now, published_by=by,
    )  # fmt: skip
    copy_plan(source, new)
    _give_way(new, found[0]["left_out"], run.result["gave_way"])
    reviews = tuple(Review(key, index, due) for key, index, due in found[0]["reviews"])
    write_placements(course_problem(new), found[0]["introductions"], reviews)
    return new


def look_again(run: PlanRun) -> None:
    """After a run has ended: where something came between while it planned, it is asked for once more."""
    plan = (
        TermPlan.objects.filter(pk=run.plan_id, status=PlanStatus.PUBLISHED).select_related("course").first()
    )
    if plan is None or not run.result or run.answered == "overtaken":
        return
    if reading(course_problem(plan)) != run.result["reading"]:
        plan_rest_again(courses=[plan.course_id], by=run.asked_by, occasion=run.occasion, always=True)


def _give_way(plan: TermPlan, left_out: list[str], unpinned: list[str]) -> None:
    plan.figures.filter(figure__name__in=left_out).update(required=False, pinned=None)
    plan.figures.filter(figure__name__in=unpinned).update(pinned=None)


def _start(plan: TermPlan, by: Person | None, occasion: str) -> PlanRun:
    """The plan's run: a new one, or the one that goes on and will look again when it has ended."""
    try:
        with transaction.atomic():
            run = PlanRun.objects.create(
                plan=plan, plan_version=plan.version, kind=RunKind.AGAIN, seconds=SECONDS,
                asked_by=by, occasion=occasion[:300],
            )  # fmt: skip
            run_rows.send(run.pk)
    except IntegrityError:
        return plan.runs.get(status__in=run_rows.GOING_ON)
    logger.info("The rest of plan %s is planned again: %s", plan.pk, occasion)
    return run
