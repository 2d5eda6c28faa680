"""Which courses, lessons and plans a person may reach. What is not theirs is not there: 404, never 403,
except where a reader who may see the thing may not write it."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from curriculum.models import Level
from lessons.models import (
    Course,
    CoverLink,
    Enrolment,
    LessonSession,
    Milestone,
    PlanRun,
    PrivateLesson,
    TermPlan,
)
from school.models import Person


def get_course_for(user: Person, pk: int) -> Course:
    """The course with what every page of it shows; raises Http404 for a course that is not the reader's."""
    return get_object_or_404(Course.objects.for_user(user).for_page(), pk=pk)


def get_lesson_for(user: Person, pk: int) -> LessonSession:
    """The lesson with its course and room; raises Http404 where the course is not the reader's."""
    return get_object_or_404(_lessons(), course__in=Course.objects.for_user(user), pk=pk)


def get_lesson_by_link(link: CoverLink) -> LessonSession:
    """The lesson a live link was made for: whoever holds it may read this lesson, and nothing else."""
    return _lessons().get(pk=link.lesson_id)


def _lessons() -> QuerySet[LessonSession]:
    return LessonSession.objects.select_related(
        "course__dance", "course__term", "course__shape", "course__routine__level__dance", "room"
    )


def may_record(user: Person, lesson: LessonSession) -> bool:
    """The director any lesson; an instructor the lessons they stand in front of. At most one query."""
    return user.is_director or (
        user.is_instructor and LessonSession.objects.taught_by(user).filter(pk=lesson.pk).exists()
    )


def get_own_lesson_for(user: Person, pk: int) -> LessonSession:
    """The lesson, to write its record; raises PermissionDenied unless `may_record`."""
    lesson = get_lesson_for(user, pk)
    if not may_record(user, lesson):
        raise PermissionDenied("Only the director and those who give this lesson write its record.")
    return lesson


def get_plan_for(user: Person, pk: int) -> TermPlan:
    """The plan with its course; raises Http404 where the course is not the reader's."""
    plans = TermPlan.objects.select_related("course__dance", "course__term", "course__shape")
    return get_object_or_404(plans, course__in=Course.objects.for_user(user), pk=pk)


def get_milestone_for(user: Person, pk: int) -> Milestone:
    """The milestone with its course; raises Http404 where the course is not the reader's."""
    milestones = Milestone.objects.select_related("course__term", "course__dance")
    return get_object_or_404(milestones, course__in=Course.objects.for_user(user), pk=pk)


def get_own_course_for(user: Person, pk: int) -> Course:
    """A course the person dances in, whatever else they are at the school; raises Http404 otherwise."""
    own = Enrolment.objects.filter(person=user, waiting=False).values("course")
    courses = Course.objects.filter(pk__in=own).for_page().select_related("routine__level__dance")
    return get_object_or_404(courses, pk=pk)


def get_private_lesson_for(user: Person, pk: int) -> PrivateLesson:
    """The private lesson with its people and room; raises Http404 unless the director's or one's own."""
    return get_object_or_404(PrivateLesson.objects.for_staff(user).for_page(), pk=pk)


def levels_open_to(user: Person) -> frozenset[int]:
    """Keys of the levels a student may read: those of their courses, and the levels below. Two queries."""
    mine = Level.objects.filter(
        courses__enrolments__person=user, courses__enrolments__waiting=False
    ).values_list("dance", "rank")
    highest: dict[int, int] = {}
    for dance, rank in mine:
        highest[dance] = max(rank, highest.get(dance, 0))
    ladder = Level.objects.filter(dance__in=highest).values_list("pk", "dance", "rank")
    return frozenset(pk for pk, dance, rank in ladder if rank <= highest[dance])


def get_run_for(user: Person, pk: int) -> PlanRun:
    """The planning run with its plan and course; raises Http404 where the course is not the reader's."""
    runs = PlanRun.objects.select_related("plan__course__dance", "plan__course__term", "plan__course__shape")
    return get_object_or_404(runs, plan__course__in=Course.objects.for_user(user), pk=pk)
