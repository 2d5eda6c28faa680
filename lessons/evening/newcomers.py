"""Who joined after the first lesson, and what they missed: ten minutes before the lesson begins."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from curriculum.models import Figure
from lessons.evening.cast import Cast
from lessons.models import Enrolment, LessonSession, Outcome, PrivateFigure, TaughtElsewhere
from lessons.people.first_names import first_names
from lessons.problems.wording import spoken_list
from lessons.students.made_good import danced_at_all

# Common practice, no source: after three weeks somebody new has caught up or asks by themselves.
FIRST_WEEKS = dt.timedelta(weeks=3)
TEN_MINUTES = dt.timedelta(minutes=10)


@dataclass(frozen=True)
class Newcomers:
    """People who joined after the same lesson and missed the same. after: how many lessons had been."""

    names: tuple[str, ...]
    after: int
    missed: tuple[str, ...]

    @property
    def sentence(self) -> str:
        joined = f"{spoken_list(self.names)} joined after lesson {self.after}"
        return f"{joined} and missed {spoken_list(self.missed)}."


def ten_minutes_before(lesson: LessonSession) -> dt.time:
    return (dt.datetime.combine(lesson.date, lesson.start) - TEN_MINUTES).time()


def newcomers_of(
    lesson: LessonSession, cast: Cast, taught: Mapping[int, dt.date], *, with_minors: bool = True
) -> tuple[Newcomers, ...]:
    """Newcomers in their first weeks who missed something taught, by when they joined.

    `taught`: figure (pk) -> the day it was recorded as introduced. What somebody learnt elsewhere in their
    role, or danced since, they have not missed. No query where nobody is new, else five.
    """
    new = [
        row for row in cast.enrolments if _is_new(row, lesson, taught) and (with_minors or not _minor(row))
    ]
    if not new:
        return ()
    days = _days_of_course(lesson)
    names = dict(Figure.objects.filter(pk__in=taught).in_teaching_order().values_list("pk", "name"))
    elsewhere = _learnt_elsewhere(new)
    since = danced_at_all((row.person_id for row in new), taught)
    called = first_names(row.person for row in cast.enrolments)
    groups: dict[tuple[int, tuple[str, ...]], list[str]] = {}
    for row in new:
        missed = tuple(
            name
            for pk, name in names.items()
            if taught[pk] < row.joined
            and (row.person_id, pk, row.role) not in elsewhere
            and (row.person_id, pk) not in since
        )
        after = sum(day < row.joined for day in days)
        if missed:
            groups.setdefault((after, missed), []).append(called[row.person_id])
    return tuple(
        Newcomers(tuple(people), after, missed) for (after, missed), people in sorted(groups.items())
    )


def _is_new(row: Enrolment, lesson: LessonSession, taught: Mapping[int, dt.date]) -> bool:
    recently = row.joined <= lesson.date < row.joined + FIRST_WEEKS
    return recently and any(day < row.joined for day in taught.values())


def _minor(row: Enrolment) -> bool:
    return row.person.is_minor


def _days_of_course(lesson: LessonSession) -> list[dt.date]:
    """Dates of the course's lessons that take place."""
    lessons = LessonSession.objects.filter(course=lesson.course_id).given()
    return list(lessons.values_list("date", flat=True))


def _learnt_elsewhere(rows: Iterable[Enrolment]) -> set[tuple[int, int, str]]:
    """In another class, or in a private lesson. Two queries."""
    people = [row.person_id for row in rows]
    ticked = TaughtElsewhere.objects.filter(person__in=people)
    private = PrivateFigure.objects.filter(lesson__person__in=people, outcome=Outcome.INTRODUCED)
    return {
        *ticked.values_list("person", "figure", "role"),
        *private.values_list("lesson__person", "figure", "lesson__role"),
    }
