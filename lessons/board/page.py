"""What the pages about a plan show around the register."""

from __future__ import annotations

from typing import Any

from curriculum.models import Figure
from lessons.board.build import board_from
from lessons.board.faults import faults
from lessons.board.values import Board
from lessons.courses.in_step import step_of
from lessons.courses.routine_nights import undanceable_nights
from lessons.forms.plans import RunForm
from lessons.models import DraftStep, PlanFigure, PlanRun, PlanStatus, RunStatus, TermPlan
from lessons.planners.term import check_plan
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problem, placements
from school.models import Person


def plan_page(
    plan: TermPlan,
    user: Person,
    *,
    chosen: int | None = None,
    read: CourseProblem | None = None,
    board: Board | None = None,
) -> dict[str, Any]:
    """The register and what may be done with it. `chosen`: the plan figure whose card is open; `read`,
    `board`: the plan's problem and its register, if the caller has them."""
    board = board or board_from(read or course_problem(plan), plan.course)
    return {
        "plan": plan,
        "board": board,
        "findings": linked(board),
        "gaps": [column for column in board.columns if column.is_gap and column.reason],
        "chosen": chosen,
        "may_change": user.is_director and plan.status == PlanStatus.DRAFT,
        "is_draft": plan.status == PlanStatus.DRAFT,
        "last_step": _last_step(plan),
        "run": open_run(plan),
        "run_form": RunForm(),
        "step": step_of(plan.course),
        **_others(plan),
    }


def _others(plan: TermPlan) -> dict[str, Any]:
    """The course's published plan and its drafts, this one aside. One query."""
    others = list(plan.course.plans.exclude(pk=plan.pk).exclude(status=PlanStatus.RETIRED))
    published = next((other for other in others if other.status == PlanStatus.PUBLISHED), None)
    return {"published": published, "drafts": [other for other in others if other.status == PlanStatus.DRAFT]}


def _last_step(plan: TermPlan) -> DraftStep | None:
    """What can be taken back at once. One query for a draft."""
    if plan.status != PlanStatus.DRAFT:
        return None
    return plan.steps.filter(taken_back__isnull=True).select_related("by").first()


def steps_page(plan: TermPlan) -> dict[str, Any]:
    """Everything that was changed in a draft, the newest first. One query."""
    return {"plan": plan, "steps": list(plan.steps.select_related("by", "taken_back_by"))}


def linked(board: Board) -> list[dict[str, Any]]:
    """Each finding with the figure (pk) or the lesson (its number) it is about."""
    figures = {row.name: row.plan_figure.figure_id for row in board.rows}
    return [
        {
            "sentence": finding.sentence,
            "figure": next((figures[key] for key in finding.keys if key in figures), None)
            if finding.kind != "unplaced"
            else None,
            "lesson": finding.lessons[0] + 1 if finding.lessons and not finding.keys else None,
        }
        for finding in board.findings
    ]


def open_run(plan: TermPlan) -> PlanRun | None:
    """The plan's last run, while it goes on or has said something nobody has answered yet. One query."""
    run = plan.runs.first()
    if run is None or run.answered or (run.is_over and not run.result and run.status != RunStatus.FAILED):
        return None
    return run if not run.is_over or run.plan_version == plan.version else None


def plan_faults(problem: CourseProblem) -> tuple[Finding, ...]:
    """What is wrong with the plan as it stands, each thing once. No query."""
    introductions, reviews = placements(problem)
    return faults(problem, check_plan(problem.problem, introductions, reviews), introductions).found


def figures_to_choose(plan: TermPlan) -> tuple[list[Figure], dict[int, PlanFigure]]:
    """The dance's figures in teaching order, and the plan's rows by figure. Two queries."""
    figures = Figure.objects.filter(dance=plan.course.dance_id).select_related("level").in_teaching_order()
    return list(figures), {row.figure_id: row for row in plan.figures.all()}


def publishing(plan: TermPlan) -> dict[str, Any]:
    """What breaks, which routine could not be danced on its night, and which plan would be retired."""
    published = plan.course.plans.filter(status=PlanStatus.PUBLISHED).exclude(pk=plan.pk).first()
    problem = course_problem(plan)
    return {
        "plan": plan,
        "findings": plan_faults(problem),
        "nights": undanceable_nights([problem])[plan.pk],
        "teaches_nothing": not problem.plan_figures,
        "published": published,
    }
