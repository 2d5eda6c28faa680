"""What the register's forms save at once: a figure's card, and the list of figures of a draft."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from django.core.exceptions import ValidationError

from curriculum.models import Figure
from lessons.actions.errors import Overtaken
from lessons.actions.plans import (
    DemandsOnFigure,
    choose_figures,
    move_introduction,
    set_demands,
)
from lessons.actions.sets import set_company
from lessons.actions.steps import one_step
from lessons.actions.turns import in_turn
from lessons.models import LessonSession, PlanFigure, PlanReview, TermPlan
from lessons.planners.term import check_plan
from lessons.problems import CourseProblem, course_problem
from lessons.problems.places import owed_dues, placements
from school.models import Person


def save_card(
    *,
    plan: TermPlan,
    version: int,
    plan_figure: PlanFigure,
    by: Person,
    demands: DemandsOnFigure | None,
    move_to: LessonSession | None,
    is_moved: bool,
    again_in: Collection[LessonSession] | None,
    is_untouched: bool = False,
    read: CourseProblem | None = None,
    together: Collection[PlanFigure] | None = None,
    apart: Collection[PlanFigure] | None = None,
) -> None:
    """All or nothing and one step, as `set_demands`, `move_introduction`, `set_reviews` and `set_company` say
    it.

    `demands`: None leaves them as they are. `is_moved`: whether `move_to` (None: not in this plan) is to be
    followed at all. A moved figure's reviews move with it as far as they must, unless `again_in` says where
    they go. `is_untouched`: nobody else changed this figure since `version`; what they changed of others then
    does not stand in the way, unless both together break something. `read`: the problem of `plan` as it was
    loaded, if the caller has it.
    """
    with one_step(plan=plan, by=by):
        is_beside = is_untouched and version < plan.version
        before = _sentences(plan, read) if is_beside else set()
        version = plan.version if is_beside else version
        if demands is not None:
            set_demands(plan=plan, version=version, plan_figure=plan_figure, by=by, **demands)
            version = plan.version
        if is_moved:
            row = plan.figures.select_related("figure").get(pk=plan_figure.pk)
            same = read if demands is None and version == plan.version else None
            move_introduction(plan=plan, version=version, plan_figure=row, lesson=move_to, by=by, read=same)
            version = plan.version
        if again_in is not None:
            same = read if demands is None and not is_moved and version == plan.version else None
            set_reviews(
                plan=plan, version=version, plan_figure=plan_figure, lessons=again_in, by=by, read=same
            )
            version = plan.version
        if together is not None or apart is not None:
            set_company(
                plan=plan, version=version, plan_figure=plan_figure, together=together, apart=apart, by=by
            )
        if is_beside:
            _refuse_new_breaches(_sentences(plan, None) - before)


def _sentences(plan: TermPlan, read: CourseProblem | None) -> set[str]:
    problem = read or course_problem(plan)
    return {finding.sentence for finding in check_plan(problem.problem, *placements(problem))}


def _refuse_new_breaches(broken: Collection[str]) -> None:
    if broken:
        raise Overtaken(
            "Somebody changed other figures of this plan while you had it open. As it stands now your change "
            f"does not fit: {' '.join(sorted(broken))} It was not made."
        )


@in_turn
def set_reviews(
    *,
    plan: TermPlan,
    version: int,
    plan_figure: PlanFigure,
    lessons: Collection[LessonSession],
    by: Person,
    read: CourseProblem | None = None,
) -> None:
    """Let the figure come again in exactly `lessons`, as far as they are still to come.

    Each stands for the nearest review still owed, in order; what that breaks is for the check to say. `read`:
    the plan's problem at `version`, if the caller has it.
    """
    problem = read or course_problem(plan)
    index_of = {lesson.pk: index for index, lesson in enumerate(problem.lessons)}
    strangers = [lesson for lesson in lessons if lesson.pk not in index_of]
    if strangers:
        raise ValidationError({"again_in": "That lesson does not take place in this course."})
    chosen = sorted(index_of[lesson.pk] for lesson in lessons)
    coming = [index for index in chosen if index >= problem.first_to_come]
    to_come = [lesson.pk for lesson in problem.lessons[problem.first_to_come :]]
    plan_figure.reviews.filter(lesson__in=to_come).delete()
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=plan_figure, lesson=problem.lessons[index], due=problem.lessons[due])
        for index, due in with_dues(problem, plan_figure.figure.name, coming)
    )


def set_figures(
    *,
    plan: TermPlan,
    version: int,
    figures: Collection[Figure],
    wishes: Mapping[int, tuple[bool, int]],
    by: Person,
) -> None:
    """Let the draft teach exactly `figures`, in one step; `wishes`: figure (pk) -> required, importance."""
    with one_step(plan=plan, by=by):
        choose_figures(plan=plan, version=version, figures=figures, by=by)
        rows = list(plan.figures.all())
        for row in rows:
            row.required, row.importance = wishes[row.figure_id]
        PlanFigure.objects.bulk_update(rows, ["required", "importance"])


def with_dues(problem: CourseProblem, key: str, chosen: Sequence[int]) -> list[tuple[int, int]]:
    """Each chosen lesson (index) with the one its review is due in; its own where no review is owed."""
    introductions, _ = placements(problem)
    open_dues = list(owed_dues(problem, introductions).get(key, ()))
    pairs = []
    for index in chosen:
        due = min(open_dues, key=lambda due: abs(due - index), default=index)
        open_dues = [later for later in open_dues if later > due]
        pairs.append((index, due))
    return pairs
