"""The whole school planned at one word: every course of a term, those kept in step as one task."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef

from lessons.actions.errors import Overtaken
from lessons.actions.plans import start_draft
from lessons.actions.runs import accept_run, stop_run
from lessons.models import Course, LessonSession, PlanRun, PlanStatus, RunStatus, SchoolRun, TermPlan
from lessons.runs import run_rows
from school.clock import today
from school.models import Person, Term

logger = logging.getLogger(__name__)

# The most a course may search; most are proved best long before.
SECONDS_A_COURSE = 8


@dataclass(frozen=True)
class Accepted:
    """How many plans were taken over, and a sentence for each that was not."""

    plans: int
    refused: tuple[str, ...]


def courses_to_plan(term: Term, *, group: int | None = None) -> list[list[Course]]:
    """Courses with a lesson to come, those of a group (pk) together; `group`: only that one. Two queries."""
    coming = LessonSession.objects.given().filter(course=OuterRef("pk"), date__gte=today())
    courses = term.courses.filter(Exists(coming)).select_related("group", "dance", "term")
    if group is not None:
        courses = courses.filter(group=group)
    tied: dict[tuple[str, int, int], list[Course]] = {}
    for course in courses.prefetch_related("levels").order_by("key", "pk"):
        own = ("course", course.pk, 0)
        tie = own if course.group_id is None else ("group", course.group_id, course.dance_id)
        tied.setdefault(tie, []).append(course)
    return list(tied.values())


@transaction.atomic
def plan_the_school(
    *, term: Term, by: Person | None, group: int | None = None, seconds: int = SECONDS_A_COURSE
) -> SchoolRun:
    """Have the workers plan every course of the term that has a lesson to come: its newest draft, or a new
    one. Tied courses are one task, every other course is a task of its own.

    `group`: only the courses kept in step in that group (pk). ValidationError where there is nothing to plan,
    or where everything is being planned already.
    """
    tied = courses_to_plan(term, group=group)
    if not tied:
        raise ValidationError("No course of this term has a lesson to come: there is nothing to plan.")
    plans = {course.pk: _draft(course, by) for courses in tied for course in courses}
    busy = set(
        PlanRun.objects.filter(plan__in=plans.values(), status__in=run_rows.GOING_ON).values_list(
            "plan__course", flat=True
        )
    )
    school_run = SchoolRun.objects.create(term=term, asked_by=by)
    for courses in tied:
        free = [plans[course.pk] for course in courses if course.pk not in busy]
        if free:
            _start_together(school_run, free, by, seconds)
    if not school_run.runs.exists():
        raise ValidationError("All of these courses are being planned already.")
    logger.info("%s has %d courses of %s planned", by, len(plans) - len(busy), term)
    return school_run


def stop_the_school(*, school_run: SchoolRun) -> None:
    """Stop what still goes on: what waits at once, the others keep the best so far."""
    for run in school_run.runs.filter(status__in=run_rows.GOING_ON, led_by=None):
        stop_run(run=run)


def accept_all(*, school_run: SchoolRun, by: Person) -> Accepted:
    """Take every plan over into its draft that still can be; each on its own, so that one refused stops no
    other."""
    plans, refused = 0, []
    for run in _open(school_run.runs.select_related("plan__course")):
        try:
            accept_run(run=run, by=by)
        except Overtaken as overtaken:
            refused.append(f"{run.plan.course}: {overtaken.sentence}")
        else:
            plans += 1
    return Accepted(plans, tuple(refused))


def _open(runs: Iterable[PlanRun]) -> list[PlanRun]:
    return [run for run in runs if run.is_over and run.has_plan and not run.answered]


def _draft(course: Course, by: Person | None) -> TermPlan:
    drafts = course.plans.filter(status=PlanStatus.DRAFT).order_by("-created_at", "-pk")
    return drafts.first() or start_draft(course=course, by=by)


def _start_together(
    school_run: SchoolRun, plans: Sequence[TermPlan], by: Person | None, seconds: int
) -> None:
    """A run a plan; the first leads the others, and its message is the only one that is sent."""
    leader: PlanRun | None = None
    for plan in plans:
        run = PlanRun.objects.create(
            plan=plan,
            plan_version=plan.version,
            seconds=seconds,
            asked_by=by,
            school_run=school_run,
            led_by=leader,
            status=RunStatus.WAITING,
        )
        leader = leader or run
    if leader is not None:
        run_rows.send(leader.pk)
