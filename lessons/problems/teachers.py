"""Who gives each lesson, and what cannot be new in it because they are away or do not teach it."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Exists, OuterRef, Prefetch

from curriculum.models import Figure
from lessons.models import Away, Course, CourseInstructor, LessonInstructor, LessonSession, TeachesNot
from lessons.problems.wording import spoken_day, spoken_list
from school.models import Person

People = dict[int, str]


@dataclass(frozen=True)
class Teachers:
    """course: who gives the course (pk -> name); lessons: lesson (pk) -> who gives it instead.

    away and teaches_not: person (pk) -> when and what. All empty where nothing is said of anybody.
    """

    course: People = field(default_factory=dict)
    lessons: Mapping[int, People] = field(default_factory=dict)
    away: Mapping[int, Iterable[Away]] = field(default_factory=dict)
    teaches_not: Mapping[int, Iterable[TeachesNot]] = field(default_factory=dict)

    def of(self, lesson: LessonSession) -> People:
        return self.lessons.get(lesson.pk) or self.course

    def are_away(self, lesson: LessonSession) -> bool:
        """Whether the lesson has people who give it, and every one of them is away."""
        people = self.of(lesson)
        return bool(people) and all(self._is_away(person, lesson.date) for person in people)

    def cannot_begin(self, figure: Figure, lesson: LessonSession) -> bool:
        """Whether of those who give the lesson nobody is there who teaches the figure."""
        people = self.of(lesson)
        return bool(people) and not any(
            not self._is_away(person, lesson.date) and not self._teaches_not(person, figure)
            for person in people
        )

    def _is_away(self, person: int, day: dt.date) -> bool:
        return any(row.first_day <= day <= row.last_day for row in self.away.get(person, ()))

    def _teaches_not(self, person: int, figure: Figure) -> bool:
        return any(row.covers(figure) for row in self.teaches_not.get(person, ()))


def read_teachers(courses: Collection[Course]) -> dict[int, Teachers]:
    """Course (pk) -> its teachers. One query where nothing is said of anybody, else five."""
    away, teaches_not = Away.objects.order_by("first_day"), TeachesNot.objects.order_by("pk")
    said = Exists(away.filter(person=OuterRef("pk"))) | Exists(teaches_not.filter(person=OuterRef("pk")))
    people = Person.objects.filter(said).order_by()
    spoken_of = list(people.prefetch_related(Prefetch("away", away), Prefetch("teaches_not", teaches_not)))
    if not spoken_of:
        return {course.pk: Teachers() for course in courses}
    by_course: dict[int, People] = defaultdict(dict)
    rows = CourseInstructor.objects.filter(course__in=courses).order_by("pk")
    for course, person, name in rows.values_list("course", "person", "person__name"):
        by_course[course][person] = name
    by_lesson: dict[int, People] = defaultdict(dict)
    named = LessonInstructor.objects.filter(lesson__course__in=courses).order_by("pk")
    for lesson, person, name in named.values_list("lesson", "person", "person__name"):
        by_lesson[lesson][person] = name
    when = {person.pk: person.away.all() for person in spoken_of}
    what = {person.pk: person.teaches_not.all() for person in spoken_of}
    return {course.pk: Teachers(by_course[course.pk], by_lesson, when, what) for course in courses}


def without_teachers(teachers: Teachers, lessons: Sequence[LessonSession]) -> Iterator[str]:
    """What is said of lessons to come whose people are all away."""
    for lesson in lessons:
        if teachers.are_away(lesson):
            names = list(teachers.of(lesson).values())
            are = "is" if len(names) == 1 else "are"
            yield (
                f"{spoken_list(names)} {are} away on {spoken_day(lesson.date)} and nobody takes the lesson: "
                "nothing new is planned in it."
            )


def waits_for_a_teacher(
    teachers: Teachers, figure: Figure, lessons: Sequence[LessonSession]
) -> Iterator[str]:
    """What is said of a figure that some lessons to come cannot begin, beside those whose people are away."""
    there = [lesson for lesson in lessons if not teachers.are_away(lesson)]
    barred = [lesson for lesson in there if teachers.cannot_begin(figure, lesson)]
    if not barred:
        return
    if len(barred) == len(there):
        yield f"Nobody who gives this course teaches {figure.name}."
        return
    names = dict.fromkeys(name for lesson in barred for name in teachers.of(lesson).values())
    yield f"{figure.name} is not new in lessons of {spoken_list(list(names))}: they do not teach it."
