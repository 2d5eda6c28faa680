"""What the plan knows to be wrong with one lesson, for whoever opens only its run-sheet."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.models import LessonSession, PlanStatus, TermPlan
from lessons.planners.term import check_plan
from lessons.problems import course_problem, placements


@dataclass(frozen=True)
class PlanSays:
    """plan: the published one; sentences: each thing once."""

    plan: TermPlan
    sentences: tuple[str, ...]


def plan_says(lesson: LessonSession) -> PlanSays | None:
    """What breaks in this lesson as the published plan stands today; None where nothing does, where there is
    no plan, and of a lesson that is history. At most 20 queries, whatever the size of the course."""
    plans = TermPlan.objects.filter(course=lesson.course_id, status=PlanStatus.PUBLISHED)
    plan = plans.select_related("course__dance", "course__term", "course__shape").order_by("pk").first()
    if plan is None or lesson.is_cancelled:
        return None
    course = course_problem(plan)
    places = [row.pk for row in course.lessons]
    here = places.index(lesson.pk) if lesson.pk in places else -1
    if here < course.first_to_come:
        return None
    found = check_plan(course.problem, *placements(course))
    touching = (_as_sentence(finding.sentence) for finding in found if here in finding.lessons)
    sentences = tuple(dict.fromkeys(touching))
    return PlanSays(plan, sentences) if sentences else None


def _as_sentence(said: str) -> str:
    """Sentences of the plan may begin with a figure's name, which is written small."""
    return said[:1].upper() + said[1:]
