"""Lessons to come that nobody takes: whoever stands in front of them is away then, has left the school, or is
no longer an instructor.

Who taught what is history and keeps its names; of a lesson to come it says that nobody takes it yet.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from django.db.models import Q
from django.urls import reverse

from lessons.models import Away, Course, CourseInstructor, LessonInstructor, LessonSession, PrivateLesson
from lessons.problems.wording import spoken_day, spoken_list
from lessons.rules.absence import InFront, why_not
from lessons.students.catch_up_page import asking_for
from lessons.today.needs import Need
from school.clock import today
from school.models import GIVES_PRIVATE_LESSONS, TAKES_LESSONS, Person

# Common practice, no source: who is away later than this is seen to nearer the day.
LOOKED_AHEAD = dt.timedelta(weeks=6)


@dataclass
class _Absences:
    """Who is away when. One query, for the days that are asked about."""

    days: dict[int, list[tuple[dt.date, dt.date]]] = field(default_factory=dict)

    @classmethod
    def between(cls, first: dt.date, last: dt.date) -> _Absences:
        rows = Away.objects.filter(first_day__lte=last, last_day__gte=first)
        found = cls()
        for person, begins, ends in rows.values_list("person", "first_day", "last_day"):
            found.days.setdefault(person, []).append((begins, ends))
        return found

    def why(self, row: LessonInstructor | CourseInstructor, day: dt.date) -> str:
        """Why whom the row names does not stand in front of a lesson of this day; empty where they do."""
        person = row.person
        is_away = any(first <= day <= last for first, last in self.days.get(person.pk, ()))
        return why_not(
            has_left=not person.is_active, teaches=row.teaches, is_away=is_away, is_over=day < today()
        )


def in_front_of(lessons: Sequence[LessonSession]) -> dict[int, InFront[Person]]:
    """Lesson (pk) -> who stands in front of it and who does not. Three queries for any number, or none."""
    if not lessons:
        return {}
    days = [lesson.date for lesson in lessons]
    absences = _Absences.between(min(days), max(days))
    named: dict[int, list[LessonInstructor]] = {}
    rows = LessonInstructor.objects.filter(lesson__in=lessons).with_person()
    for row in rows.order_by("person__name", "pk"):
        named.setdefault(row.lesson_id, []).append(row)
    usual: dict[int, list[CourseInstructor]] = {}
    courses = {lesson.course_id for lesson in lessons}
    for other in CourseInstructor.objects.filter(course__in=courses).with_person().order_by("pk"):
        usual.setdefault(other.course_id, []).append(other)
    found = {}
    for lesson in lessons:
        of_it = named.get(lesson.pk) or usual.get(lesson.course_id, [])
        found[lesson.pk] = InFront.of([(one.person, absences.why(one, lesson.date)) for one in of_it])
    return found


def lessons_nobody_takes(course: Course | None = None) -> list[tuple[LessonSession, InFront[Person]]]:
    """Of the weeks to come, in order, of this course or of all. Two queries where everybody is there, else
    six."""
    last = today() + LOOKED_AHEAD
    away = Away.objects.filter(first_day__lte=last, last_day__gte=today()).values_list("person", flat=True)
    of_course = CourseInstructor.objects.filter(course__term__last_day__gte=today()).values("person")
    of_lesson = LessonInstructor.objects.filter(lesson__date__gte=today()).values("person")
    teaching = Person.objects.filter(Q(pk__in=of_course) | Q(pk__in=of_lesson))
    gone = teaching.exclude(pk__in=Person.objects.instructors().values("pk"))
    absent = {*away, *gone.values_list("pk", flat=True)}
    if not absent:
        return []
    named = Q(instructors__in=absent)
    usual = Q(instructors__isnull=True, course__courseinstructor__person__in=absent)
    rows = LessonSession.objects.given().without_record().filter(date__gte=today(), date__lte=last)
    if course is not None:
        rows = rows.filter(course=course)
    lessons = list(rows.filter(named | usual).distinct().select_related("course").in_order())
    found = in_front_of(lessons)
    return [(lesson, found[lesson.pk]) for lesson in lessons if found[lesson.pk].nobody]


def needs_of_nobody() -> Iterator[Need]:
    """A need for each lesson nobody takes, with the page that gives it away; a course whose instructors are
    all gone for good is one need. And who asks to catch up in such a lesson, whom nobody else answers; and
    private lessons whose instructor gives none any more."""
    taken = lessons_nobody_takes()
    courses: dict[int, list[tuple[LessonSession, InFront[Person]]]] = {}
    for lesson, front in taken:
        if front.for_good:
            courses.setdefault(lesson.course_id, []).append((lesson, front))
    for rows in courses.values():
        lesson, front = rows[0]
        count = "its next lesson" if len(rows) == 1 else f"{len(rows)} lessons of the next weeks"
        yield Need(
            f"{lesson.course.name}: {front.nobody} That is {count}, the first on {spoken_day(lesson.date)}.",
            "Name who teaches it",
            reverse("lessons:course-edit", args=[lesson.course_id]),
        )
    for lesson, front in taken:
        if not front.for_good:
            yield Need(
                f"{lesson.course.name} on {spoken_day(lesson.date)}, {lesson.start:%H:%M}: {front.nobody}",
                "Give it to somebody",
                reverse("lessons:lesson-give", args=[lesson.pk]),
            )
    if taken:
        yield from _asking([lesson for lesson, _ in taken])
    yield from _private()


def _private() -> Iterator[Need]:
    """One query."""
    for lesson in PrivateLesson.objects.nobody_takes().with_instructor().select_related("person"):
        yield Need(
            f"{lesson.person}’s private lesson on {spoken_day(lesson.date)}, {lesson.start:%H:%M}: "
            f"{lesson.instructor} {lesson.why_nobody}; nobody takes this yet.",
            "Give it to somebody",
            reverse("lessons:private-edit", args=[lesson.pk]),
        )


def _asking(lessons: Iterable[LessonSession]) -> Iterator[Need]:
    asked = LessonSession.objects.filter(pk__in=[lesson.pk for lesson in lessons])
    for request in asking_for(asked):
        yield Need(
            f"{request.person} asks to catch up in {request.lesson.course.name} on "
            f"{spoken_day(request.lesson.date)}, which nobody takes yet.",
            "Answer",
            f"{reverse('lessons:lesson', args=[request.lesson_id])}#visitors",
        )


def follows_of_leaving(person: Person, kept: frozenset[str]) -> list[str]:
    """What to read before somebody has no other roles than those `kept`, none of them where they leave the
    school: the courses and lessons to come of which they are the only instructor, those they share, and their
    private lessons. Two queries at most, and five where they teach."""
    said = [] if kept & TAKES_LESSONS else _lessons_left(person)
    return said if kept & GIVES_PRIVATE_LESSONS else [*said, *_private_lessons_left(person)]


def _lessons_left(person: Person) -> list[str]:
    """One query, and four where they teach."""
    lessons = LessonSession.objects.given().without_record().taught_by(person).filter(date__gte=today())
    rows = list(lessons.select_related("course").in_order())
    alone: dict[Course, list[LessonSession]] = {}
    shared: dict[Course, int] = {}
    found = in_front_of(rows)
    for lesson in rows:
        others = [one for one in found[lesson.pk].there if one.pk != person.pk]
        if others:
            shared[lesson.course] = shared.get(lesson.course, 0) + 1
        else:
            alone.setdefault(lesson.course, []).append(lesson)
    said = []
    for course, bare in alone.items():
        stand = "1 lesson to come stands" if len(bare) == 1 else f"{len(bare)} lessons to come stand"
        said.append(
            f"{course}: {stand} there without anybody, the first on {spoken_day(bare[0].date)}. Name who "
            "teaches it, or give them away one by one; today’s page lists them."
        )
    if shared:
        names = spoken_list([str(course) for course in shared])
        said.append(f"{names}: whoever else teaches it is left alone with it.")
    return said


def _private_lessons_left(person: Person) -> list[str]:
    """One query."""
    private = PrivateLesson.objects.filter(instructor=person, date__gte=today())
    private = private.filter(instructor__in=Person.objects.who_teach())
    rows = list(private.select_related("person").order_by("date", "start", "pk"))
    if not rows:
        return []
    count, them = ("1 private lesson", "it") if len(rows) == 1 else (f"{len(rows)} private lessons", "them")
    people = spoken_list(list(dict.fromkeys(str(lesson.person) for lesson in rows)))
    return [
        f"{count} to come with {people}: nobody takes {them} then, the first on {spoken_day(rows[0].date)}. "
        f"Name who gives {them}; today’s page lists what is left."
    ]
