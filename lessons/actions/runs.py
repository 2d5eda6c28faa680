"""Asking for a planning run, stopping it, and answering what it found."""

from __future__ import annotations

import logging
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from lessons.actions.errors import Overtaken
from lessons.actions.steps import one_step
from lessons.models import PlanRun, PlanStatus, RunKind, RunStatus, TermPlan
from lessons.planners.term_values import Review
from lessons.problems import CourseProblem, course_problem, write_placements
from lessons.runs import run_rows
from school.models import Person

logger = logging.getLogger(__name__)

LONGEST_SECONDS = 600


def start_run(*, plan: TermPlan, seconds: int, by: Person | None) -> PlanRun:
    """Ask the workers to plan the draft for at most `seconds`. One run of a plan at a time."""
    if not 1 <= seconds <= LONGEST_SECONDS:
        raise ValidationError({"seconds": f"Choose between 1 and {LONGEST_SECONDS} seconds."})
    plan.refresh_from_db(fields=["status", "version"])
    if plan.status != PlanStatus.DRAFT:
        raise ValidationError("Only a draft is planned. Start a draft first.")
    try:
        with transaction.atomic():
            run = PlanRun.objects.create(plan=plan, plan_version=plan.version, seconds=seconds, asked_by=by)
            # The queue is a table of the same database, so the message is sent exactly if the run stands.
            run_rows.send(run.pk)
    except IntegrityError:
        raise ValidationError("This plan is being planned already.") from None
    return run


def stop_run(*, run: PlanRun) -> None:
    """Stop a run: at once where it still waits; else its worker reads the wish and keeps the best so far.

    Tied courses are one task: with one of them all stop.
    """
    with transaction.atomic():
        leader = run.led_by_id or run.pk
        stopped = {"status": RunStatus.STOPPED, "wish_to_stop": True, "ended_at": timezone.now()}
        if PlanRun.objects.filter(pk=leader, status=RunStatus.WAITING).update(**stopped):
            run_rows.followers(leader).update(**stopped)
        else:
            PlanRun.objects.filter(pk=leader, status=RunStatus.RUNNING).update(wish_to_stop=True)
            run_rows.followers(leader).update(wish_to_stop=True)
    run.refresh_from_db()


@transaction.atomic
def accept_run(*, run: PlanRun, by: Person) -> None:
    """Write the run's plan into the draft, if both the draft and the term are still what was planned.

    Raises Overtaken with what changed; ValidationError where the run has no plan to accept.
    """
    run.refresh_from_db()
    if not run.is_over or not run.has_plan or run.kind != RunKind.DRAFT:
        raise ValidationError("This run has no plan to accept.")
    answer_run(run, "accepted", by)
    turn = TermPlan.objects.filter(pk=run.plan_id, version=run.plan_version, status=PlanStatus.DRAFT)
    if not turn.update(version=F("version") + 1):
        raise Overtaken("The plan was changed after this run began. Nothing was taken over: plan it again.")
    plan = TermPlan.objects.get(pk=run.plan_id)
    problem = course_problem(plan)
    _refuse_another_term(problem, run.result)
    reviews = tuple(Review(key, index, due) for key, index, due in run.result["reviews"])
    with one_step(plan=plan, by=by):
        write_placements(problem, run.result["introductions"], reviews)
    run.plan, run.answered = plan, "accepted"


@transaction.atomic
def leave_run(*, run: PlanRun, by: Person) -> None:
    """Leave the plan as it stood before the run."""
    if not run.is_over:
        raise ValidationError("This run has not ended yet. Stop it first.")
    answer_run(run, "left", by)
    run.answered = "left"


def answer_run(run: PlanRun, answer: str, by: Person) -> None:
    """Say it once. Raises Overtaken where it was said already."""
    if not PlanRun.objects.filter(pk=run.pk, answered="").update(answered=answer):
        raise Overtaken("This run has been answered already.")
    logger.info("%s %s run %s", by, answer, run.pk)


def _refuse_another_term(problem: CourseProblem, result: dict[str, Any]) -> None:
    """After a lesson was cancelled, moved or recorded, the result answers a question nobody asks any more."""
    if [lesson.pk for lesson in problem.lessons] != result["lessons"]:
        raise Overtaken("Lessons were moved or cancelled after this run began. Plan the term again.")
    introductions = result["introductions"]
    named = {*introductions, *result["left_out"]}
    if named != set(problem.plan_figures):
        raise Overtaken("The figures to teach changed after this run began. Plan the term again.")
    for lesson in problem.problem.lessons[: problem.first_to_come]:
        for key in lesson.taught or ():
            if introductions.get(key, lesson.index) > lesson.index:
                raise Overtaken(f"{key} was recorded as taught after this run began. Plan the term again.")
    first = problem.first_to_come
    taught = {key for lesson in problem.problem.lessons[:first] for key in lesson.taught or ()}
    if any(index < first and key not in taught for key, index in introductions.items()):
        raise Overtaken("A lesson went by since this run. Plan the term again.")
