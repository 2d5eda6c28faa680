"""The first page of the day, by role: what needs a director, an instructor's evening, a student's lesson."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from lessons.evening.headline import HeadPart, headlines
from lessons.evening.tonight import has_record
from lessons.models import (
    Attendance,
    CatchUp,
    Course,
    Enrolment,
    LessonSession,
    Outcome,
    RecordedFigure,
)
from lessons.models.courses import CourseQuerySet
from lessons.models.sessions import LessonQuerySet
from lessons.people.nobody_in_front import in_front_of
from lessons.students.catch_up_page import asking_for
from lessons.students.my_level import next_lesson, why_missed
from lessons.today.needs import Need
from lessons.today.what_needs_me import what_needs_me
from school.clock import today
from school.models import Person

# Of what a school may have any number of: so many, and how many more.
SHOWN = 12
COMING = 4
# What of today's page may be asked for in full, beside the kinds of need.
TONIGHT, MISSING = "tonight", "missing"


@dataclass(frozen=True)
class Evening:
    """A lesson on a list: who stands in front of it, in first names, or the sentence that `nobody` does;
    head: what it holds, where that is shown."""

    lesson: LessonSession
    instructors: tuple[str, ...]
    nobody: str = ""
    head: tuple[HeadPart, ...] = ()

    @property
    def is_recorded(self) -> bool:
        return has_record(self.lesson)


@dataclass(frozen=True)
class DirectorDesk:
    """more_tonight: how many lessons of today are not in `tonight`."""

    needs: tuple[Need, ...]
    tonight: tuple[Evening, ...]
    more_tonight: int


@dataclass(frozen=True)
class InstructorDesk:
    """tonight: today's lessons; coming: the next ones after today; missing: given and not written up, the
    first of them; more_missing: how many more; asking: who waits for an answer whether they may come to catch
    up."""

    tonight: tuple[Evening, ...]
    coming: tuple[Evening, ...]
    missing: tuple[Evening, ...]
    more_missing: int
    asking: tuple[CatchUp, ...]


@dataclass(frozen=True)
class StudentCourse:
    """A course as its student meets it today. last: the last recorded lesson; did: what it did; missed: why
    the student did not see it, in words, or nothing."""

    course: Course
    next: LessonSession | None
    cancelled: LessonSession | None
    last: LessonSession | None
    did: tuple[RecordedFigure, ...]
    missed: str


@dataclass(frozen=True)
class _Seen:
    """What one student has seen. there: lessons (pk) they were in; joined: course (pk) -> since when."""

    there: set[int]
    joined: dict[int, dt.date]


def director_desk(everything: str = "") -> DirectorDesk:
    """A constant number of queries, whatever the number of courses. `everything`: the kind of need, or
    "tonight", of which all is shown."""
    rows = list(_lessons().filter(date=today()))
    shown = rows if everything == TONIGHT else rows[:SHOWN]
    return DirectorDesk(tuple(what_needs_me(everything)), tuple(_evenings(shown)), len(rows) - len(shown))


def instructor_desk(person: Person, everything: str = "") -> InstructorDesk:
    """`everything`: "missing", where every lesson without a record is shown."""
    own = _lessons().taught_by(person)
    tonight, coming, unwritten = (
        list(own.filter(date=today())),
        list(own.filter(date__gt=today())[:COMING]),
        list(own.without_record().filter(date__lt=today())),
    )
    missing = unwritten if everything == MISSING else unwritten[:SHOWN]
    evenings = {evening.lesson.pk: evening for evening in _evenings([*tonight, *coming, *missing])}
    heads = headlines(tonight)
    return InstructorDesk(
        tonight=tuple(replace(evenings[row.pk], head=heads[row.pk]) for row in tonight),
        coming=tuple(evenings[row.pk] for row in coming),
        missing=tuple(evenings[row.pk] for row in missing),
        more_missing=len(unwritten) - len(missing),
        asking=tuple(asking_for(LessonSession.objects.given().taught_by(person))),
    )


def student_desk(person: Person) -> list[StudentCourse]:
    """The course that meets next comes first. Six queries, whatever the number of courses."""
    courses = own_courses(person)
    lessons: dict[int, list[LessonSession]] = {course.pk: [] for course in courses}
    rows = LessonSession.objects.filter(course__in=courses).select_related("record", "room").in_order()
    for row in rows:
        lessons[row.course_id].append(row)
    last = {pk: _last_recorded(rows) for pk, rows in lessons.items()}
    done = RecordedFigure.objects.filter(
        record__lesson__in=[lesson for lesson in last.values() if lesson],
        outcome__in=[Outcome.INTRODUCED, Outcome.FINISH_LATER, Outcome.REVIEWED],
    ).select_related("figure", "record")
    by_lesson: dict[int, list[RecordedFigure]] = {}
    for figure in done.order_by("pk"):
        by_lesson.setdefault(figure.record.lesson_id, []).append(figure)
    joined = dict(
        Enrolment.objects.filter(course__in=courses, person=person, waiting=False)
        .order_by("-joined")
        .values_list("course", "joined")
    )
    there = set(
        Attendance.objects.filter(person=person, record__lesson__in=by_lesson).values_list(
            "record__lesson", flat=True
        )
    )
    shown = [
        _student_course(course, lessons[course.pk], last[course.pk], by_lesson, _Seen(there, joined))
        for course in courses
    ]
    return sorted(shown, key=_meets_next)


def _meets_next(shown: StudentCourse) -> tuple[bool, dt.date, dt.time]:
    """Courses without a lesson to come stand last."""
    if shown.next is None:
        return True, dt.date.max, dt.time.max
    return False, shown.next.date, shown.next.start


def own_courses(person: Person) -> list[Course]:
    """The courses somebody dances in now: of terms that run or come; else of the last term they danced in.
    At most five queries."""
    return _of_now(_danced_by(person).for_page())


def other_courses(course: Course, person: Person) -> list[Course]:
    """What else somebody dances in now, to be named. One query."""
    return [other for other in _of_now(_danced_by(person).select_related("term")) if other != course]


def _danced_by(person: Person) -> CourseQuerySet:
    return Course.objects.filter(
        enrolments__person=person, enrolments__waiting=False, enrolments__left__isnull=True
    )


def _of_now(rows: CourseQuerySet) -> list[Course]:
    courses = list(rows.order_by("-term__first_day", "name", "pk").distinct())
    running = [course for course in courses if course.term.last_day >= today()]
    return running or [course for course in courses if course.term_id == courses[0].term_id]


def _lessons() -> LessonQuerySet:
    """Lessons that take place, with what a list shows of them, but for who stands in front."""
    return LessonSession.objects.given().select_related("course__dance", "room", "record").in_order()


def _evenings(lessons: Iterable[LessonSession]) -> list[Evening]:
    """With who stands in front of them: three queries for any number, or none."""
    rows = list(lessons)
    front = in_front_of(rows)
    return [
        Evening(
            lesson, tuple(person.first_name for person in front[lesson.pk].there), front[lesson.pk].nobody
        )
        for lesson in rows
    ]


def _last_recorded(lessons: Iterable[LessonSession]) -> LessonSession | None:
    return next((row for row in reversed(list(lessons)) if has_record(row)), None)


def _student_course(
    course: Course,
    lessons: list[LessonSession],
    last: LessonSession | None,
    done: dict[int, list[RecordedFigure]],
    seen: _Seen,
) -> StudentCourse:
    coming = next_lesson(lessons)
    off = (row for row in lessons if row.is_cancelled and row.date >= today())
    first_off = next((row for row in off if coming is None or row.date <= coming.date), None)
    did = tuple(done.get(last.pk, ())) if last else ()
    was_there = last is None or last.pk in seen.there or not did
    missed = "" if last is None or was_there else why_missed(last, seen.joined.get(course.pk))
    return StudentCourse(course, coming, first_off, last, did, missed)
