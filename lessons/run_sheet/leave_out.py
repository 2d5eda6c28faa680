"""Too much for one evening: when the course's plan can take each of its figures up instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from lessons.evening.tonight import Planned
from lessons.models import LessonSession, PlanStatus, TermPlan
from lessons.planners.tonight import Segment
from lessons.problems import course_problem, placements, spoken_day
from lessons.problems.wording import spoken_list
from lessons.rules.leave_out import PlannedTerm, next_time, stands
from lessons.rules.segments import Evening, Item
from lessons.rules.sheet_changes import Place, place_of

_WORDS = {
    "review": "it comes again on {day}",
    "carry": "it can be finished on {day}",
    "new": "it can be new on {day}",
}
_NO_ROOM = "no later lesson has room for it"

NextTimes = dict[Place, LessonSession | None]


def next_times(lesson: LessonSession, planned: Iterable[Planned]) -> NextTimes:
    """(kind, figure's name) -> the lesson that can take it up with the published plan still sound, or None.

    Nothing for a lesson that is history to the plan, or a course without one. At most 20 queries, whatever
    the size of the course or its plan.
    """
    plan = TermPlan.objects.filter(course=lesson.course_id, status=PlanStatus.PUBLISHED).first()
    if plan is None:
        return {}
    course = course_problem(plan)
    places = [row.pk for row in course.lessons]
    here = places.index(lesson.pk) if lesson.pk in places else -1
    if here < course.first_to_come:
        return {}
    term = PlannedTerm(course.problem, *placements(course))
    found: NextTimes = {}
    for item in planned:
        if not stands(term, item.how, item.key, here):
            continue
        at = next_time(term, item.how, item.key, here)
        found[(item.how, item.key)] = None if at is None else course.lessons[at]
    return found


def with_next_times(evening: Evening, times: NextTimes) -> Evening:
    """The evening with what can wait marked."""

    def marked(kind: str, items: Iterable[Item]) -> tuple[Item, ...]:
        return tuple(replace(item, can_wait=times.get((kind, item.key)) is not None) for item in items)

    return replace(
        evening,
        again=marked("review", evening.again),
        carry=marked("carry", evening.carry),
        new=marked("new", evening.new),
    )


def leave_out_said(left_out: Iterable[Segment], times: NextTimes) -> str:
    """ "Leave out, most harmless first: Last time and Again: box step (it comes again on ...)."."""
    titles = [f"{segment.title}{_when(segment, times)}" for segment in left_out]
    return f"Leave out, most harmless first: {spoken_list(titles)}."


def _when(segment: Segment, times: NextTimes) -> str:
    if place_of(segment) not in times:
        return ""
    lesson = times[place_of(segment)]
    said = _NO_ROOM if lesson is None else _WORDS[segment.kind].format(day=spoken_day(lesson.date))
    return f" ({said})"
