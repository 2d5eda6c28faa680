"""What the plan knows to be wrong with one lesson, for whoever opens only its run-sheet, and what no longer
holds in it once the lesson is written up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lessons.board.page import plan_faults
from lessons.evening.tonight import Tonight
from lessons.models import LessonRecord, LessonSession, PlanRun, PlanStatus, RunKind, TermPlan
from lessons.planners.term import check_plan
from lessons.problems import CourseProblem, course_problem, placements
from school.clock import today


@dataclass(frozen=True)
class PlanSays:
    """plan: the published one; sentences: each thing once."""

    plan: TermPlan
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Trouble:
    """A thing that does not fit, and the lessons to come in which it shows."""

    sentence: str
    where: tuple[LessonSession, ...]


@dataclass(frozen=True)
class PlanAfter:
    """plan: the published one; troubles: what does not fit in it as the records now are; run: in which the
    rest is planned again, as long as nobody answered it."""

    plan: TermPlan
    troubles: tuple[Trouble, ...]
    run: PlanRun | None


def plan_after(lesson: LessonSession) -> PlanAfter | None:
    """What the published plan breaks, said where a lesson has just been written up. None where nothing does,
    and of a lesson after which a later one of the course is recorded already. At most 20 queries, whatever
    the size of the course."""
    later = LessonRecord.objects.filter(lesson__course=lesson.course_id).exclude(lesson=lesson)
    here = (lesson.date, lesson.start)
    if any(when > here for when in later.values_list("lesson__date", "lesson__start")):
        return None
    plan = _published(lesson)
    if plan is None:
        return None
    troubles = tuple(_troubles(course_problem(plan)))
    if not troubles:
        return None
    again = plan.runs.filter(kind=RunKind.AGAIN, answered="").order_by("-pk")
    return PlanAfter(plan, troubles, again.first())


def _troubles(course: CourseProblem) -> Iterator[Trouble]:
    for finding in plan_faults(course):
        to_come = [index for index in finding.lessons if index >= course.first_to_come]
        yield Trouble(_as_sentence(finding.sentence), tuple(course.lessons[index] for index in to_come))


def plan_says(tonight: Tonight) -> PlanSays | None:
    """What breaks in this lesson as the published plan stands today; None where nothing does, where there is
    no plan, and of a lesson that is history. At most 20 queries, whatever the size of the course."""
    lesson, plan = tonight.lesson, tonight.plan
    if plan is None or lesson.is_cancelled or lesson.date < today():
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


def _published(lesson: LessonSession) -> TermPlan | None:
    plans = TermPlan.objects.filter(course=lesson.course_id, status=PlanStatus.PUBLISHED)
    return plans.select_related("course__dance", "course__term", "course__shape").order_by("pk").first()


def _as_sentence(said: str) -> str:
    """Sentences of the plan may begin with a figure's name, which is written small."""
    return said[:1].upper() + said[1:]
