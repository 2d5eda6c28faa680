"""Photographs at a showcase: who says no, and of whom it has to be asked again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse

from lessons.evening.cast import Cast
from lessons.models import Course, Enrolment, LessonKind, LessonSession
from lessons.people.first_names import first_names
from lessons.problems.wording import spoken_day
from lessons.today.needs import Need
from school.clock import today
from school.models import Person
from school.photographs import as_it_stands, photographs_of
from school.rules.photographs import Stand

ASKED_AHEAD = dt.timedelta(weeks=3)
"""How long before a showcase the director is told whom to ask (common practice, no source)."""


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


def showcases_that_ask() -> Iterator[Need]:
    """Showcases of the next weeks of whose dancers some have yet to say whether they may be photographed.
    Three queries at most, for any number of them."""
    coming = LessonSession.objects.given().filter(
        kind=LessonKind.SHOWCASE, date__range=(today(), today() + ASKED_AHEAD)
    )
    showcases = list(coming.select_related("course__term").in_order())
    if not showcases:
        return
    rows = Enrolment.objects.filter(course__in=[one.course_id for one in showcases], waiting=False, left=None)
    dancing = list(rows.select_related("person"))
    said = photographs_of(row.person for row in dancing)
    for lesson in showcases:
        since = lesson.course.term.first_day
        asked = sum(
            as_it_stands(row.person, said[row.person_id].word, since).stand is Stand.ASK
            for row in dancing
            if row.course_id == lesson.course_id
        )
        if asked:
            have = "1 dancer has" if asked == 1 else f"{asked} dancers have"
            yield Need(
                f"{lesson.course.name} has a showcase on {spoken_day(lesson.date)}: {have} not said this "
                "term whether they may be photographed.",
                "See who",
                reverse("lessons:lesson", args=[lesson.pk]) + "#photographs-there",
            )
