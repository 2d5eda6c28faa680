"""What a course knows when: as recorded so far, and after each lesson, recorded so far and then planned.

Taught means recorded: as of today only that is known. For what lies ahead a lesson that is over and has no
record counts as planned, as the planner counts it (`lessons.problems.history`), and is said to be unwritten.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from curriculum.models import Routine
from curriculum.routine_hooks import CourseClock, Moment
from lessons.courses.knowledge import known_by_course
from lessons.evening.tonight import has_record
from lessons.models import (
    Course,
    LessonSession,
    Milestone,
    Outcome,
    PlanIntroduction,
    PlanStatus,
    RecordedFigure,
)
from lessons.problems.wording import spoken_day
from school.clock import today
from school.models import Person

UNWRITTEN: Final = "planned, not written up yet"


@dataclass(frozen=True)
class AfterLesson:
    """What the course knows after a lesson. number: from 1. `new`: figures it had new, or is to have.
    is_planned: some of what is known is not recorded; is_over: it is before those to come."""

    lesson: LessonSession
    number: int
    known: frozenset[str]
    new: tuple[str, ...]
    is_planned: bool
    is_over: bool

    @property
    def planned(self) -> str:
        """In what way it is planned; "" where all is recorded."""
        if not self.is_planned:
            return ""
        if not self.is_over:
            return "planned, may change"
        return "in part planned, not all written up" if has_record(self.lesson) else UNWRITTEN

    @property
    def label(self) -> str:
        """ "after lesson 5, Tuesday 3 March (planned, may change)"."""
        planned = f" ({self.planned})" if self.is_planned else ""
        return f"after lesson {self.number}, {spoken_day(self.lesson.date)}{planned}"


@dataclass(frozen=True)
class CourseKnowledge:
    """now: names of the figures recorded so far, with those the course brought along. when: figure -> when it
    was or will be taught, in words. new: those it did not bring along. stones: its milestones, by day.
    unwritten: lessons that are over and not written up, with new figures in the plan."""

    course: Course
    now: frozenset[str]
    after: tuple[AfterLesson, ...]
    when: dict[str, str]
    new: frozenset[str]
    stones: tuple[Milestone, ...]
    unwritten: tuple[LessonSession, ...]

    def night_of(self, routine: Routine) -> AfterLesson | None:
        """The last lesson up to the day the routine is danced: its milestone's, else the end of term."""
        days = [stone.day for stone in self.stones if routine.pk and stone.routine_id == routine.pk]
        last_day = max(days, default=dt.date.max)
        before = [row for row in self.after if row.lesson.date <= last_day]
        return before[-1] if before else None


@dataclass
class _Rows:
    """Of one course. new: lesson (pk) -> figures recorded as introduced. begun: figures recorded as to be
    finished later. planned: figure -> lesson (pk) of its last part in the published plan."""

    lessons: list[LessonSession] = field(default_factory=list)
    new: dict[int, list[str]] = field(default_factory=lambda: defaultdict(list))
    begun: set[str] = field(default_factory=set)
    planned: dict[str, int] = field(default_factory=dict)
    stones: list[Milestone] = field(default_factory=list)


def knowledge_of(courses: Sequence[Course]) -> dict[int, CourseKnowledge]:
    """Course (pk) -> what it knows when. At most eight queries for any number of courses whose `levels` were
    fetched with them."""
    known = known_by_course(courses)
    rows: dict[int, _Rows] = {course.pk: _Rows() for course in courses}
    for lesson in LessonSession.objects.given().filter(course__in=rows).select_related("record").in_order():
        rows[lesson.course_id].lessons.append(lesson)
    _read_records(rows)
    _read_plans(rows)
    for stone in Milestone.objects.filter(course__in=rows).order_by("day", "pk"):
        rows[stone.course_id].stones.append(stone)
    return {course.pk: _knowledge(course, known[course.pk], rows[course.pk]) for course in courses}


def clocks_of(routine: Routine, reader: Person) -> list[CourseClock]:
    """The clocks of courses that run or come, on the routine's level or dancing it; the latter come first.

    At most ten queries for any number of courses.
    """
    rows = Course.objects.for_user(reader).filter(dance=routine.level.dance_id, term__last_day__gte=today())
    courses = [
        course
        for course in rows.order_by("term__first_day", "key", "pk").prefetch_related("levels")
        if _dances(course, routine) or routine.level_id in {level.pk for level in course.levels.all()}
    ]
    courses.sort(key=lambda course: not _dances(course, routine))
    if not courses:
        return []
    knowledge = knowledge_of(courses)
    return [_clock(knowledge[course.pk], routine) for course in courses]


def _clock(knowledge: CourseKnowledge, routine: Routine) -> CourseClock:
    course = knowledge.course
    now = Moment(f"{course.pk}-now", "as of today (recorded)", knowledge.now)
    lessons = tuple(
        Moment(f"{course.pk}-{row.lesson.pk}", row.label, row.known, row.is_planned)
        for row in knowledge.after
    )
    night = knowledge.night_of(routine)
    at = next((place for place, row in enumerate(knowledge.after) if row is night), None)
    return CourseClock(
        key=str(course.pk),
        name=course.name,
        now=now,
        lessons=lessons,
        night=now if at is None else lessons[at],
        when=knowledge.when,
        new=knowledge.new,
        dances_it=_dances(course, routine),
    )


def _dances(course: Course, routine: Routine) -> bool:
    """A routine that is still to be made is danced by nobody."""
    return routine.pk is not None and course.routine_id == routine.pk


def _read_records(rows: dict[int, _Rows]) -> None:
    found = RecordedFigure.objects.filter(
        record__lesson__course__in=rows, outcome__in=[Outcome.INTRODUCED, Outcome.FINISH_LATER]
    ).order_by("record__lesson__date", "record__lesson__start", "pk")
    fields = ("record__lesson__course", "record__lesson", "figure__name", "outcome")
    for course, lesson, figure, outcome in found.values_list(*fields):
        if outcome == Outcome.INTRODUCED:
            rows[course].new[lesson].append(figure)
        else:
            rows[course].begun.add(figure)


def _read_plans(rows: dict[int, _Rows]) -> None:
    """The last part of each figure counts."""
    found = PlanIntroduction.objects.filter(
        plan_figure__plan__course__in=rows,
        plan_figure__plan__status=PlanStatus.PUBLISHED,
        lesson__cancelled_at__isnull=True,
    ).order_by("part", "pk")
    fields = ("plan_figure__plan__course", "lesson", "plan_figure__figure__name")
    for course, lesson, figure in found.values_list(*fields):
        rows[course].planned[figure] = lesson


def _knowledge(course: Course, brought: dict[int, str], rows: _Rows) -> CourseKnowledge:
    start = frozenset(brought.values())
    recorded = start.union(*rows.new.values())
    as_planned = [lesson for lesson in rows.lessons if not has_record(lesson)]
    to_come = [lesson for lesson in as_planned if lesson.date >= today()]
    ahead = _ahead(rows, recorded, {lesson.pk for lesson in as_planned}, to_come[0].pk if to_come else None)
    unwritten = tuple(row for row in as_planned if row not in to_come and ahead.get(row.pk))
    when = dict.fromkeys(start, "brought along")
    after, known = [], start
    first_ahead = next((place for place, row in enumerate(rows.lessons) if row in to_come), len(rows.lessons))
    for place, lesson in enumerate(rows.lessons):
        new = tuple(rows.new.get(lesson.pk, ())) or tuple(ahead.get(lesson.pk, ()))
        known = known.union(new)
        is_over = place < first_ahead
        is_planned = not is_over or not known <= recorded
        row = AfterLesson(lesson, place + 1, known, new, is_planned, is_over)
        after.append(row)
        for figure in new:
            when.setdefault(figure, _when(row))
    _name_left_out(rows, recorded, when)
    return CourseKnowledge(course, recorded, tuple(after), when, known - start, tuple(rows.stones), unwritten)


def _ahead(
    rows: _Rows, recorded: frozenset[str], as_planned: set[int], next_one: int | None
) -> dict[int, list[str]]:
    """Lesson without record (pk) -> figures known after it. What was begun and has no further part in the
    plan is finished in the next lesson."""
    found: dict[int, list[str]] = defaultdict(list)
    for figure, lesson in rows.planned.items():
        if lesson in as_planned and figure not in recorded:
            found[lesson].append(figure)
    planned = {figure for figures in found.values() for figure in figures}
    if next_one is not None:
        found[next_one] += sorted(rows.begun - recorded - planned)
    return found


def _when(row: AfterLesson) -> str:
    day = spoken_day(row.lesson.date)
    if has_record(row.lesson):
        return f"taught in lesson {row.number}, {day}"
    if row.is_over:
        return f"planned as new on {day}, not written up yet"
    return f"planned for lesson {row.number}, {day}"


def _name_left_out(rows: _Rows, recorded: frozenset[str], when: dict[str, str]) -> None:
    """Figures of which the record of their planned lesson has nothing."""
    places = {lesson.pk: (number, lesson) for number, lesson in enumerate(rows.lessons, start=1)}
    for figure, pk in rows.planned.items():
        if figure in when or figure in recorded or pk not in places:
            continue
        number, lesson = places[pk]
        when[figure] = f"planned for lesson {number}, {spoken_day(lesson.date)}, not in its record"
