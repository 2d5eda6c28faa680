"""What a course's problem is made of: rows, with figures by primary key and lessons in order."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from curriculum.models import Prerequisite
from lessons.models import (
    Course,
    CourseKind,
    LessonSession,
    LessonShape,
    Milestone,
    PlanFigure,
    PlanIntroduction,
    RecordedFigure,
)
from lessons.problems.room import shape_for
from lessons.problems.teachers import Teachers


@dataclass(frozen=True)
class CourseRows:
    """One plan's rows and its course's. Read by `reading.read_rows`; nothing here costs a query.

    lessons: those that take place, in order. first_to_come: index of the first that is not history.
    published: the course's published plan. recorded: lesson -> what its record says, "not reached" left out.
    known: figure -> name, for what the course brought with it. needs: figure -> its prerequisites.
    milestones: each with the figures (pk -> name) it asks for, those of its routine among them.
    shapes: those a lesson may have: the course's, the school's default and those for a kind of lesson.
    teachers: who gives the lessons, and what they cannot.
    """

    course: Course
    lessons: tuple[LessonSession, ...]
    first_to_come: int
    plan_figures: tuple[PlanFigure, ...]
    published: tuple[PlanIntroduction, ...]
    recorded: dict[int, tuple[RecordedFigure, ...]]
    known: dict[int, str]
    needs: dict[int, list[Prerequisite]]
    in_routine: frozenset[int]
    milestones: tuple[tuple[Milestone, dict[int, str]], ...]
    shapes: tuple[LessonShape, ...]
    teachers: Teachers

    @property
    def to_come(self) -> tuple[LessonSession, ...]:
        return self.lessons[self.first_to_come :]

    @property
    def most_new(self) -> int:
        """The most new figures an evening takes: as the course says, else its lowest level."""
        levels = (level.most_new for level in self.course.levels.all())
        return int(self.course.most_new or min(levels, default=1))

    @property
    def is_drop_in(self) -> bool:
        return bool(self.course.kind == CourseKind.DROP_IN)

    @property
    def index_of(self) -> dict[int, int]:
        """Lesson (pk) -> its index."""
        return {lesson.pk: index for index, lesson in enumerate(self.lessons)}

    def shape_for(self, lesson: LessonSession) -> LessonShape | None:
        return shape_for(lesson.kind, self.course.shape_id, self.shapes)


def has_record(lesson: LessonSession) -> bool:
    """Whether the lesson was recorded; costs nothing where `record` was fetched with it."""
    return hasattr(lesson, "record")


def first_to_come(lessons: tuple[LessonSession, ...], today: dt.date) -> int:
    """History ends with the last lesson that is before today or recorded; the plan fills a gap in it."""
    been = [index for index, lesson in enumerate(lessons) if lesson.date < today or has_record(lesson)]
    return max(been, default=-1) + 1
