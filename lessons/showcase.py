"""Photographs at a showcase: who says no, and of whom it has to be asked again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.cast import Cast
from lessons.first_names import first_names
from lessons.models import Course, LessonKind, LessonSession
from school.clock import today
from school.models import Person
from school.photographs import photographs_of
from school.rules.photographs import Stand


@dataclass(frozen=True)
class PhotographsThere:
    """First names: none, please; and not asked since the course's term began. agreed: how many said yes."""

    no: tuple[str, ...]
    ask: tuple[str, ...]
    agreed: int


def photographs_there(lesson: LessonSession, cast: Cast) -> PhotographsThere | None:
    """Of a showcase, whoever dances there or stands in front; of any other lesson nothing. Consent is asked
    for again in the term of the showcase (common practice, no source). One query at most."""
    if lesson.kind != LessonKind.SHOWCASE:
        return None
    people = [*(row.person for row in cast.enrolments), *cast.instructors]
    names = first_names(people)
    said = photographs_of(people, since=lesson.course.term.first_day)

    def who(stand: Stand) -> tuple[str, ...]:
        return tuple(sorted(names[pk] for pk, one in said.items() if one.stand is stand))

    return PhotographsThere(who(Stand.NO), who(Stand.ASK), len(who(Stand.YES)))


def showcase_that_asks(person: Person, courses: Sequence[Course]) -> LessonSession | None:
    """The next showcase of their courses for which the person has to say whether photographs may be taken.
    Two queries at most."""
    showcases = LessonSession.objects.given().filter(
        course__in=courses, kind=LessonKind.SHOWCASE, date__gte=today()
    )
    for lesson in showcases.select_related("course__term").in_order()[:1]:
        said = photographs_of([person], since=lesson.course.term.first_day)[person.pk]
        return lesson if said.stand is Stand.ASK else None
    return None
