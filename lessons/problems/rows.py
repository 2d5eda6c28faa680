"""Everything a course's problem is made of, read in a number of queries that depends on no table's size."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from curriculum.models import Figure, Prerequisite, RoutineItem
from lessons.knowledge import known_figures
from lessons.models import (
    Course,
    LessonSession,
    LessonShape,
    Milestone,
    Outcome,
    PlanFigure,
    PlanIntroduction,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.problems.room import shape_of


@dataclass(frozen=True)
class CourseRows:
    """The rows, with figures by primary key and lessons (those that take place) in order."""

    course: Course
    today: dt.date
    lessons: tuple[LessonSession, ...]
    first_to_come: int
    plan_figures: tuple[PlanFigure, ...]
    published: tuple[PlanIntroduction, ...]
    recorded: dict[int, tuple[RecordedFigure, ...]]
    known: dict[int, str]
    needs: dict[int, tuple[Prerequisite, ...]]
    in_routine: frozenset[int]
    milestones: tuple[tuple[Milestone, dict[int, str]], ...]
    shape: LessonShape | None

    @property
    def index_of(self) -> dict[int, int]:
        """Lesson (pk) -> its index."""
        return {lesson.pk: index for index, lesson in enumerate(self.lessons)}


def read_rows(plan: TermPlan, *, today: dt.date) -> CourseRows:
    """Read what the plan's problem is made of. 18 queries, or fewer where a table has nothing to say."""
    course = Course.objects.select_related("term", "shape").prefetch_related("levels").get(pk=plan.course_id)
    lessons = tuple(course.lessons.given().in_order().select_related("record", "room"))
    milestones = _milestones(course)
    known = Figure.objects.filter(pk__in=known_figures(course)).values_list("pk", "name")
    return CourseRows(
        course=course,
        today=today,
        lessons=lessons,
        first_to_come=first_to_come(lessons, today),
        plan_figures=_plan_figures(plan),
        published=_published(course),
        recorded=_recorded(course),
        known=dict(known),
        needs=_needs(course),
        in_routine=frozenset(routine_figures([course.routine_id]).get(course.routine_id, {})),
        milestones=milestones,
        shape=shape_of(course.shape),
    )


def has_record(lesson: LessonSession) -> bool:
    """Whether the lesson was recorded; costs nothing where `record` was fetched with it."""
    return hasattr(lesson, "record")


def first_to_come(lessons: tuple[LessonSession, ...], today: dt.date) -> int:
    """History ends with the last lesson that is before today or recorded; the plan fills a gap in it."""
    been = [index for index, lesson in enumerate(lessons) if lesson.date < today or has_record(lesson)]
    return max(been, default=-1) + 1


def _plan_figures(plan: TermPlan) -> tuple[PlanFigure, ...]:
    rows = plan.figures.select_related("figure__level", "pinned", "earliest", "latest").prefetch_related(
        "introductions__lesson", "reviews", "bars", "sets"
    )
    return tuple(rows.order_by("figure__level__rank", "figure__order", "figure"))


def _published(course: Course) -> tuple[PlanIntroduction, ...]:
    rows = PlanIntroduction.objects.filter(
        plan_figure__plan__course=course, plan_figure__plan__status=PlanStatus.PUBLISHED
    )
    return tuple(rows.select_related("plan_figure").order_by("plan_figure", "part"))


def _recorded(course: Course) -> dict[int, tuple[RecordedFigure, ...]]:
    rows = RecordedFigure.objects.filter(record__lesson__course=course).exclude(outcome=Outcome.NOT_REACHED)
    by_lesson: dict[int, list[RecordedFigure]] = defaultdict(list)
    for row in rows.select_related("record", "figure").order_by("pk"):
        by_lesson[row.record.lesson_id].append(row)
    return {lesson: tuple(found) for lesson, found in by_lesson.items()}


def _needs(course: Course) -> dict[int, tuple[Prerequisite, ...]]:
    rows = Prerequisite.objects.filter(figure__dance=course.dance_id).select_related("needs__level")
    by_figure: dict[int, list[Prerequisite]] = defaultdict(list)
    for row in rows.order_by("pk"):
        by_figure[row.figure_id].append(row)
    return {figure: tuple(found) for figure, found in by_figure.items()}


def _milestones(course: Course) -> tuple[tuple[Milestone, dict[int, str]], ...]:
    """Each milestone with the figures (pk -> name) it asks for, those of its routine among them."""
    rows = tuple(course.milestones.prefetch_related("figures"))
    by_routine = routine_figures([row.routine_id for row in rows])
    return tuple(
        (
            row,
            {
                **by_routine.get(row.routine_id, {}),
                **{figure.pk: figure.name for figure in row.figures.all()},
            },
        )
        for row in rows
    )


def routine_figures(routines: list[int | None]) -> dict[int | None, dict[int, str]]:
    """Routine (pk) -> its figures, pk -> name."""
    rows = RoutineItem.objects.filter(routine__in=[pk for pk in routines if pk], passage__isnull=False)
    found: dict[int | None, dict[int, str]] = defaultdict(dict)
    pairs = rows.order_by("position").values_list("routine", "passage__figure", "passage__figure__name")
    for routine, figure, name in pairs:
        found[routine][figure] = name
    return found
