"""What a course's page shows: places per role, who waits, its lessons and its plans."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from curriculum.models import FloorRole
from lessons.actions.course_set_up import Saved
from lessons.courses.danceable_bars import course_danceable
from lessons.courses.in_step import step_of
from lessons.courses.waiting_list import why_it_waits
from lessons.models import (
    Course,
    Enrolment,
    LessonSession,
    Milestone,
    Outcome,
    PlanIntroduction,
    PlanRun,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.people.helpers import next_call
from lessons.people.nobody_in_front import in_front_of
from lessons.problems.wording import spoken_list
from school.clock import today


@dataclass(frozen=True)
class RoleList:
    """Who dances a role: those in the course, and those who wait, longest first; why: the first of them has
    no place, to follow "because"."""

    role: str
    label: str
    places: int
    inside: tuple[Enrolment, ...]
    waiting: tuple[Enrolment, ...]
    why: str = ""

    @property
    def free(self) -> int:
        return max(self.places - len(self.inside), 0)


@dataclass(frozen=True)
class LessonLine:
    """A lesson in the course's list. `number`: as on the plan, from 1; None for one that was cancelled.

    `new`: what was new in it by its record, or is planned to be; `nobody`: the sentence that nobody takes it.
    """

    lesson: LessonSession
    number: int | None
    state: str
    new: str
    nobody: str = ""


def course_page(course: Course) -> dict[str, Any]:
    """Fourteen queries at most beside what the course came with, and ten more where it dances a routine."""
    people = list(
        course.enrolments.filter(Q(left__isnull=True) | Q(left__gt=today()))
        .select_related("person", "couple_with__person")
        .order_by("person__name")
    )
    plans = course.plans.select_related("published_by", "created_by").order_by("-created_at", "-pk")
    return {
        "course": course,
        "helpers": next_call(course, [one for one in people if not one.waiting]),
        "roles": [_role(course, people, role) for role in FloorRole],
        "lessons": _lessons(course),
        "danceable": course_danceable(course),
        "plans": _by_status(list(plans)),
        "step": step_of(course),
        "again": PlanRun.objects.open_proposals().filter(plan__course=course).first(),
        "milestones": Milestone.objects.filter(course=course)
        .select_related("routine")
        .prefetch_related("figures"),
    }


def _role(course: Course, people: list[Enrolment], role: FloorRole) -> RoleList:
    own = [enrolment for enrolment in people if enrolment.role == role]
    waiting = sorted((one for one in own if one.waiting), key=lambda one: (one.joined, one.pk))
    places = course.places_leaders if role == FloorRole.LEADER else course.places_followers
    inside = tuple(one for one in own if not one.waiting)
    why = why_it_waits(waiting[0], [one for one in people if not one.waiting]) if waiting else ""
    return RoleList(role.value, f"{role.label}s", places, inside, tuple(waiting), why)


def _lessons(course: Course) -> list[LessonLine]:
    rows = list(course.lessons.select_related("record", "room").prefetch_related("instructors").in_order())
    front = in_front_of(rows)
    planned, recorded = _planned_new(course), _recorded_new(course)
    lines, number = [], 0
    for lesson in rows:
        if lesson.is_cancelled:
            lines.append(LessonLine(lesson, None, "cancelled", ""))
            continue
        number += 1
        state = _state(lesson)
        new = (recorded if state == "taught" else planned).get(lesson.pk, [])
        nobody = "" if state == "taught" else front[lesson.pk].nobody
        lines.append(LessonLine(lesson, number, state, spoken_list(new), nobody))
    return lines


def _planned_new(course: Course) -> dict[int, list[str]]:
    """Lesson (pk) -> names of the figures that the published plan has new there. One query."""
    rows = PlanIntroduction.objects.filter(
        plan_figure__plan__course=course, plan_figure__plan__status=PlanStatus.PUBLISHED
    )
    return _by_lesson(
        rows.order_by("plan_figure__figure__order", "pk").values_list("lesson", "plan_figure__figure__name")
    )


def _recorded_new(course: Course) -> dict[int, list[str]]:
    """Lesson (pk) -> names of the figures that its record says were new, begun ones too. One query."""
    rows = RecordedFigure.objects.filter(
        record__lesson__course=course, outcome__in=[Outcome.INTRODUCED, Outcome.FINISH_LATER]
    )
    return _by_lesson(rows.order_by("pk").values_list("record__lesson", "figure__name"))


def _by_lesson(rows: Iterable[tuple[int, str]]) -> dict[int, list[str]]:
    named: dict[int, list[str]] = {}
    for lesson, name in rows:
        named.setdefault(lesson, []).append(name)
    return named


def _state(lesson: LessonSession) -> str:
    if hasattr(lesson, "record"):
        return "taught"
    if lesson.date < today():
        return "no record"
    if lesson.date == today():
        return "tonight"
    return "moved" if lesson.date != lesson.first_date else "to come"


def _by_status(plans: list[TermPlan]) -> list[TermPlan]:
    """The published plan first, then drafts, then what was replaced; each newest first."""
    order = [PlanStatus.PUBLISHED, PlanStatus.DRAFT, PlanStatus.RETIRED]
    return sorted(plans, key=lambda plan: order.index(PlanStatus(plan.status)))


def saved_words(saved: Saved) -> str:
    """Saved. 11 lessons were laid out. 8 lessons moved with their meeting."""
    said = ["Saved."]
    for count, what in ((len(saved.laid), "laid out"), (len(saved.moved), "moved along")):
        if count:
            said.append(f"{count} lesson{'s were' if count > 1 else ' was'} {what}.")
    return " ".join(said)
