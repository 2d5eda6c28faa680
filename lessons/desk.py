"""The first page of the day, by role: what needs a director, an instructor's evening, a student's lesson."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.db.models import Prefetch, prefetch_related_objects
from django.urls import reverse

from lessons.catch_up_page import asking_for
from lessons.director_needs import double_bookings, drafts_waiting, proposals
from lessons.evening import has_record
from lessons.headline import HeadPart, headlines
from lessons.models import (
    Attendance,
    CatchUp,
    Course,
    CourseInstructor,
    LessonInstructor,
    LessonSession,
    Outcome,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.models.courses import CourseQuerySet
from lessons.models.sessions import LessonQuerySet
from lessons.my_level import next_lesson
from lessons.needs import Need, first_steps, people_waiting
from lessons.problems.wording import spoken_day
from lessons.signs import worker_is_alive
from lessons.watch import broken_routines, published_problems, troubled_plans, undanceable_routines
from school.clock import today
from school.models import Person

RECORD_WANTED_AFTER = dt.timedelta(days=2)
SHOWN = 8
COMING = 4


@dataclass(frozen=True)
class Evening:
    """A lesson on a list: who stands in front of it, in first names; head: what it holds, where that is
    shown."""

    lesson: LessonSession
    instructors: tuple[str, ...]
    head: tuple[HeadPart, ...] = ()

    @property
    def is_recorded(self) -> bool:
        return has_record(self.lesson)


@dataclass(frozen=True)
class DirectorDesk:
    needs: tuple[Need, ...]
    tonight: tuple[Evening, ...]


@dataclass(frozen=True)
class InstructorDesk:
    """tonight: today's lessons; coming: the next ones after today; missing: given and not written up; asking:
    who waits for an answer whether they may come to catch up."""

    tonight: tuple[Evening, ...]
    coming: tuple[Evening, ...]
    missing: tuple[Evening, ...]
    asking: tuple[CatchUp, ...]


@dataclass(frozen=True)
class StudentCourse:
    """A course as its student meets it today. last: the last recorded lesson; did: what it did; was_there:
    whether the student was."""

    course: Course
    next: LessonSession | None
    cancelled: LessonSession | None
    last: LessonSession | None
    did: tuple[RecordedFigure, ...]
    was_there: bool


def director_desk() -> DirectorDesk:
    """A constant number of queries, whatever the number of courses."""
    return DirectorDesk(needs=tuple(_needs()), tonight=tuple(_evenings(_lessons().filter(date=today()))))


def instructor_desk(person: Person) -> InstructorDesk:
    own = _lessons().taught_by(person)
    tonight, coming, missing = (
        list(own.filter(date=today())),
        list(own.filter(date__gt=today())[:COMING]),
        list(own.without_record().filter(date__lt=today())),
    )
    evenings = {evening.lesson.pk: evening for evening in _evenings([*tonight, *coming, *missing])}
    heads = headlines(tonight)
    return InstructorDesk(
        tonight=tuple(replace(evenings[row.pk], head=heads[row.pk]) for row in tonight),
        coming=tuple(evenings[row.pk] for row in coming),
        missing=tuple(evenings[row.pk] for row in missing),
        asking=tuple(asking_for(LessonSession.objects.given().taught_by(person))),
    )


def student_desk(person: Person) -> list[StudentCourse]:
    """The course that meets next comes first. Five queries, whatever the number of courses."""
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
    there = set(
        Attendance.objects.filter(person=person, record__lesson__in=by_lesson).values_list(
            "record__lesson", flat=True
        )
    )
    shown = [
        _student_course(course, lessons[course.pk], last[course.pk], by_lesson, there) for course in courses
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


def _needs() -> Iterable[Need]:
    if not worker_is_alive():
        yield Need("No worker is alive: a plan asked for now waits until “manage.py worker” is started.")
    courses = list(_running_courses())
    if not courses:
        yield from first_steps()
    offered = proposals(courses)
    yield from offered.values()
    yield from drafts_waiting()
    yield from double_bookings()
    yield from people_waiting()
    for course in courses:
        if not course.published:
            yield Need(f"{course.name} has no published plan.", "Open the course", _course(course))
    problems = published_problems(courses)
    for course, findings in troubled_plans(courses, problems):
        if course.pk in offered:
            continue
        more = f" And {len(findings) - 1} more." if len(findings) > 1 else ""
        yield Need(
            f"{course.name}: {findings[0].sentence}{more}",
            "Open the plan",
            reverse("lessons:plan", args=[course.published[0].pk]),
        )
    for course, sentence in undanceable_routines(courses, problems):
        yield Need(f"{course.name}: {sentence}", "Open the course", _course(course))
    for routine, sentence in broken_routines(courses):
        yield Need(
            f"{routine.name}: {sentence}",
            "Open the routine",
            reverse("curriculum:routine", args=[routine.pk]),
        )
    yield from _records_missing(courses)


def _records_missing(courses: list[Course]) -> Iterable[Need]:
    """Those a record is wanted of by now; where some are, how many there are besides is said too."""
    rows = LessonSession.objects.given().without_record().filter(course__in=courses, date__lt=today())
    missing = list(rows.select_related("course").in_order())
    wanted = [lesson for lesson in missing if lesson.date <= today() - RECORD_WANTED_AFTER]
    for lesson in wanted[:SHOWN]:
        yield Need(
            f"{lesson.course.name} on {spoken_day(lesson.date)} has no record yet.",
            "Write it",
            reverse("lessons:record", args=[lesson.pk]),
        )
    rest = len(missing) - len(wanted[:SHOWN])
    if wanted and rest:
        lessons = "1 more lesson has" if rest == 1 else f"{rest} more lessons have"
        yield Need(f"{lessons} no record yet.", "Open the term", reverse("lessons:term"))


def _course(course: Course) -> str:
    return reverse("lessons:course", args=[course.pk])


def _running_courses() -> Iterable[Course]:
    """Courses of the terms that run today, each with `published`: its published plan, or nothing."""
    plans = Prefetch("plans", TermPlan.objects.filter(status=PlanStatus.PUBLISHED), to_attr="published")
    return (
        Course.objects.filter(term__first_day__lte=today(), term__last_day__gte=today())
        .select_related("term", "dance", "shape", "routine__level__dance")
        .prefetch_related("levels", plans)
        .order_by("key", "pk")
    )


def _lessons() -> LessonQuerySet:
    """Lessons that take place, with what a list shows of them, but for who stands in front."""
    return LessonSession.objects.given().select_related("course__dance", "room", "record").in_order()


def _evenings(lessons: Iterable[LessonSession]) -> list[Evening]:
    """With who stands in front of them: two queries for any number, or none."""
    rows = list(lessons)
    named = Prefetch("lessoninstructor_set", LessonInstructor.objects.select_related("person"))
    usual = Prefetch("course__courseinstructor_set", CourseInstructor.objects.select_related("person"))
    prefetch_related_objects(rows, named, usual)
    found = []
    for lesson in rows:
        in_front = lesson.lessoninstructor_set.all() or lesson.course.courseinstructor_set.all()
        found.append(Evening(lesson, tuple(row.person.first_name for row in in_front)))
    return found


def _last_recorded(lessons: Iterable[LessonSession]) -> LessonSession | None:
    return next((row for row in reversed(list(lessons)) if has_record(row)), None)


def _student_course(
    course: Course,
    lessons: list[LessonSession],
    last: LessonSession | None,
    done: dict[int, list[RecordedFigure]],
    there: set[int],
) -> StudentCourse:
    coming = next_lesson(lessons)
    off = (row for row in lessons if row.is_cancelled and row.date >= today())
    first_off = next((row for row in off if coming is None or row.date <= coming.date), None)
    did = tuple(done.get(last.pk, ())) if last else ()
    was_there = last is None or last.pk in there or not did
    return StudentCourse(course, coming, first_off, last, did, was_there)
