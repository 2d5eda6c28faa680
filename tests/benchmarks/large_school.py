"""A school as large as they come: the demo school, and beside it many courses and students, all invented.

Every course beside the demo's is one of the demo's again: its dance, level, shape and routine, two evenings a
week, under people and in a room of its own. Nothing is left to chance: what somebody is called, where they
dance and what has gone wrong follows from a number, so that two runs measure the same school.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice, pairwise

from django.db import transaction
from django.db.models import Model

from lessons.demo.load import load_demo_school
from lessons.models import (
    Attendance,
    CatchUp,
    Course,
    CourseGroup,
    CourseInstructor,
    CourseLevel,
    Enrolment,
    LessonRecord,
    LessonSession,
    Meeting,
    Outcome,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
    Requirement,
    SignOff,
    TermPlan,
)
from lessons.rules.calendar import lesson_dates
from school.clock import now, today
from school.models import Closure, Invitation, Person, PersonRole, Role, Room, Term

LESSONS = 20
PLACES = 10
STARTS = (dt.time(18), dt.time(19, 10), dt.time(20, 20))
# The days of the term's week on which a course meets; the demo is told on its third.
EVENINGS = ((0, 3), (1, 4), (2, 5))
A_ROOM = len(STARTS) * len(EVENINGS)
BATCH = 500

FIRST = ("Ada", "Bo", "Cleo", "Dag", "Élise", "Finn", "Gus", "Hild", "Ilse", "Jules", "Kit", "Lou", "Mae",
         "Nils", "Ona", "Per", "Quin", "Rhys", "Siân", "Tove")  # fmt: skip
SECOND = ("", "-Bree", "-Dell", "-Fay", "-Jem", "-Lark", "-Nan", "-Ray", "-Sol", "-Wyn")
LAST = ("Amberley", "Brackwood", "Çelik-Marsh", "Dunmore", "Eastgarth", "Fennimore", "Grübel", "Hollins",
        "Ivory", "Jessop")  # fmt: skip


@dataclass(frozen=True)
class Size:
    """How many courses run, the demo's among them, and how many students there are beside the demo's."""

    courses: int = 100
    students: int = 2000


@dataclass(frozen=True)
class _Made:
    """A course made again: its number, its people and its lessons in order, and how many of them are over."""

    number: int
    course: Course
    teacher: Person
    lessons: Sequence[LessonSession]
    over: int


@transaction.atomic
def load_large_school(size: Size = Size()) -> None:
    """Write it into an empty database. As many queries a thousand rows, whatever the size."""
    load_demo_school(today=today())
    term = Term.objects.nearest(today())
    patterns = list(term.courses.select_related("dance").prefetch_related("levels").order_by("key"))
    many = max(0, size.courses - len(patterns))
    teachers = _people("teacher", Role.INSTRUCTOR, -(-many // len(EVENINGS)))
    students = _people("student", Role.STUDENT, size.students)
    made = _courses(term, patterns, many, teachers)
    places = _enrolments(made, students)
    _write(_plans(made))
    _records(made, places)
    _sign_offs(made, places)
    _invitations(students)
    _catch_ups(made, students)


def _write(rows: Iterable[Model]) -> list[Model]:
    """In the order given, rows of one kind after the other, a batch at a time."""
    written = list(rows)
    by_kind: dict[type[Model], list[Model]] = {}
    for row in written:
        by_kind.setdefault(type(row), []).append(row)
    for kind, alike in by_kind.items():
        kind._default_manager.bulk_create(alike, batch_size=BATCH)
    return written


def _names() -> Iterator[str]:
    """Two thousand names, then the same with a number."""
    for round_of in range(1, 10_000):
        for last in LAST:
            for second in SECOND:
                for first in FIRST:
                    yield f"{first}{second} {last}" + (f" {round_of}" if round_of > 1 else "")


def _people(kind: str, role: Role, many: int) -> list[Person]:
    """Every twenty-fifth is under 18, every fiftieth has left."""
    people = [
        Person(
            username=f"{kind}{number}",
            name=name if role == Role.STUDENT else f"{name} the Elder",
            email=f"{kind}{number}@example.org",
            is_minor=role == Role.STUDENT and number % 25 == 24,
            guardian_name="Guardian Named" if role == Role.STUDENT and number % 25 == 24 else "",
            is_active=number % 50 != 49,
            password="!",
        )
        for number, name in enumerate(islice(_names(), many))
    ]
    _write(people)
    _write(PersonRole(person=person, role=role) for person in people)
    return people


def _courses(term: Term, patterns: Sequence[Course], many: int, teachers: Sequence[Person]) -> list[_Made]:
    rooms = Room.objects.bulk_create(
        Room(
            name=f"Hall {number + 1:02}", people=40, length_metres=18, width_metres=11, travelling_dances=True
        )
        for number in range(-(-many // A_ROOM))
    )
    in_step = [pattern for pattern in patterns if pattern.group_id]
    rounds = range(-(-many // len(patterns)) if in_step else 0)
    groups = CourseGroup.objects.bulk_create(
        CourseGroup(name=f"In step {number + 1:02}") for number in rounds
    )
    courses = []
    for number in range(many):
        turn, place = divmod(number, len(patterns))
        pattern = patterns[place]
        courses.append(_course(term, pattern, number, groups[turn] if pattern in in_step else None))
    _write(courses)
    levels = {pattern.pk: list(pattern.levels.all()) for pattern in patterns}
    closed = frozenset(day for closure in Closure.objects.all() for day in closure.days())
    rows: list[Model] = []
    made = []
    for number, course in enumerate(courses):
        pattern, room = patterns[number % len(patterns)], rooms[number // A_ROOM]
        teacher = teachers[number // A_ROOM * len(STARTS) + number // len(EVENINGS) % len(STARTS)]
        start = STARTS[number // len(EVENINGS) % len(STARTS)]
        weekdays = {(term.first_day.weekday() + day) % 7 for day in EVENINGS[number % len(EVENINGS)]}
        dates = lesson_dates(term.first_day, term.last_day, weekdays=weekdays, closed=closed)[:LESSONS]
        lessons = [
            LessonSession(course=course, first_date=day, date=day, start=start, minutes=60, room=room)
            for day in dates
        ]
        rows += [CourseLevel(course=course, level=level) for level in levels[pattern.pk]]
        rows += [CourseInstructor(course=course, person=teacher)]
        rows += [
            Meeting(course=course, weekday=weekday, start=start, room=room) for weekday in sorted(weekdays)
        ]
        rows += lessons
        made.append(_Made(number, course, teacher, lessons, sum(day < today() for day in dates)))
    _write(rows)
    return made


def _course(term: Term, pattern: Course, number: int, group: CourseGroup | None) -> Course:
    return Course(
        term=term,
        key=f"{pattern.key}-{number + 1:03}",
        name=f"{pattern.name} {number + 1:03}",
        dance=pattern.dance,
        group=group,
        routine_id=pattern.routine_id,
        shape_id=pattern.shape_id,
        places_leaders=PLACES,
        places_followers=PLACES,
    )


def _enrolments(made: Sequence[_Made], students: Sequence[Person]) -> dict[int, list[Enrolment]]:
    """Number of the course -> who dances in it. Whoever is left over waits, five a course."""
    in_turn = iter(students)
    joined = {
        one.number: [
            _enrolment(one, person, place) for place, person in enumerate(islice(in_turn, 2 * PLACES))
        ]
        for one in made
    }
    waiting = [
        _enrolment(one, person, place, waiting=True)
        for one in made
        for place, person in enumerate(islice(in_turn, 5))
    ]
    _write(chain(*joined.values(), waiting))
    return joined


def _enrolment(one: _Made, person: Person, place: int, *, waiting: bool = False) -> Enrolment:
    role, first = "LF"[place % 2], one.course.term.first_day
    return Enrolment(course=one.course, person=person, role=role, joined=first, waiting=waiting)


def _plans(made: Sequence[_Made]) -> Iterator[Model]:
    """Every twentieth course has none. A figure a lesson as long as there are any, each again after one, two
    and four lessons (common practice, no source)."""
    at = now()
    figures: dict[int, list[int]] = {}
    for one in made:
        if one.number % 20 == 19:
            continue
        level = one.course.routine.level_id if one.course.routine else 0
        if level not in figures:
            figures[level] = list(
                one.course.routine.level.figures.in_teaching_order().values_list("pk", flat=True)
            )
        plan = TermPlan(
            course=one.course,
            name="Term plan",
            status=PlanStatus.PUBLISHED,
            published_at=at,
            created_by=one.teacher,
        )
        yield plan
        for place, figure in enumerate(figures[level][: LESSONS - 1]):
            row = PlanFigure(plan=plan, figure_id=figure)
            yield row
            yield PlanIntroduction(plan_figure=row, lesson=one.lessons[place])
            for later in (1, 2, 4):
                if place + later < len(one.lessons):
                    due = one.lessons[place + later]
                    yield PlanReview(plan_figure=row, lesson=due, due=due)


def _records(made: Sequence[_Made], places: dict[int, list[Enrolment]]) -> None:
    """As planned, of every lesson that is over; in every tenth course the last two are not written up. Of
    twenty people two were not there."""
    records = [
        LessonRecord(lesson=lesson, recorded_by=one.teacher)
        for one in made
        for lesson in one.lessons[: one.over - (2 if one.number % 10 == 5 else 0)]
    ]
    _write(records)
    of_lesson = {record.lesson_id: record for record in records}
    new = PlanIntroduction.objects.filter(lesson__in=of_lesson).values_list("lesson", "plan_figure__figure")
    again = PlanReview.objects.filter(lesson__in=of_lesson).values_list("lesson", "plan_figure__figure")
    outcomes = ((new, Outcome.INTRODUCED), (again, Outcome.REVIEWED))
    _write(
        RecordedFigure(record=of_lesson[lesson], figure_id=figure, outcome=outcome)
        for rows, outcome in outcomes
        for lesson, figure in rows
    )
    _write(
        Attendance(record=of_lesson[lesson.pk], person=enrolment.person, role=enrolment.role)
        for one in made
        for turn, lesson in enumerate(one.lessons[: one.over])
        if lesson.pk in of_lesson
        for place, enrolment in enumerate(places[one.number])
        if (place + turn) % 10
    )


def _sign_offs(made: Sequence[_Made], places: dict[int, list[Enrolment]]) -> None:
    """The first of each list, some people more than others; every tenth has all of it."""
    lines: dict[int, list[Requirement]] = {}
    for line in Requirement.objects.order_by("position", "pk"):
        lines.setdefault(line.level_id, []).append(line)
    _write(
        SignOff(
            person=enrolment.person,
            figure_id=line.figure_id,
            habit=None if line.figure_id else line,
            role=enrolment.role,
            day=today(),
            signed_by=one.teacher,
        )
        for one in made
        if one.course.routine
        for place, enrolment in enumerate(places[one.number])
        for asked in [
            [line for line in lines.get(one.course.routine.level_id, []) if line.is_asked_of(enrolment.role)]
        ]
        for line in (asked if place % 10 == 9 else asked[: place % 5])
    )


def _invitations(students: Sequence[Person]) -> None:
    """Every tenth student is invited; of every fourth of those the time is over."""
    _write(
        Invitation(
            person=person,
            secret_hash=f"{number:064}",
            made_at=now() - dt.timedelta(days=20),
            ends_at=now() + dt.timedelta(days=-6 if number % 40 == 0 else 6),
        )
        for number, person in enumerate(students)
        if number % 10 == 0
    )


def _catch_ups(made: Sequence[_Made], students: Sequence[Person]) -> None:
    """Into each course but the last somebody of the course before it asks to come once."""
    _write(
        CatchUp(
            lesson=after.lessons[after.over],
            missed=before.lessons[before.over - 1],
            person=students[before.number * 2 * PLACES],
            role="L",
            asked_at=now(),
        )
        for before, after in pairwise(made)
        if before.number * 2 * PLACES < len(students) and after.over < len(after.lessons)
    )
