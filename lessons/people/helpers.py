"""Who can be called to even up the numbers of a lesson, and who has been."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from curriculum.models import FloorRole
from lessons.models import Course, Enrolment, Helper, HelperCall, LessonSession
from lessons.rules.helpers import EITHER, Short, can_take, not_needed, short_of
from lessons.rules.places import Floor
from lessons.rules.rotation_words import counted
from school.clock import today
from school.mails import sends_mail
from school.models import Person


@dataclass(frozen=True)
class HelpersOf:
    """short: of which role too few dance, those called counted as far as they are needed; may_be_called: who
    could take it, where one is short; spare: calls (pk) of those who are not needed."""

    lesson: LessonSession
    called: tuple[HelperCall, ...]
    short: Short | None
    may_be_called: tuple[Helper, ...]
    spare: frozenset[int] = frozenset()

    @property
    def says_something(self) -> bool:
        return bool(self.called or self.short)

    @property
    def are_told_by_mail(self) -> bool:
        """Whether whoever is called is told, where an address is kept."""
        return sends_mail()

    @property
    def sentence(self) -> str:
        """ "One leader short." """
        return f"{counted(self.short.number, self.short.role).capitalize()} short." if self.short else ""


def helpers_of(
    lesson: LessonSession, dancing: Sequence[Enrolment], in_front: Iterable[Person] = ()
) -> HelpersOf:
    """dancing: who is expected, catch-up guests too; in_front: who teaches it. Two queries at most; one where
    the numbers are even or nobody dances yet."""
    called = calls_for(lesson)
    floor, coming = floor_of(dancing), [(call.role, _dances_either(call)) for call in called]
    too_many = not_needed(floor, coming) if dancing else frozenset()
    spare = frozenset(called[place].pk for place in too_many)
    for place, (role, dances_both) in enumerate(coming):
        if place not in too_many:
            floor = floor.with_one_more(role, dances_both=dances_both)
    short = short_of(floor) if dancing else None
    if short is None:
        return HelpersOf(lesson, called, None, (), spare)
    there = {row.person_id for row in (*dancing, *called)} | {person.pk for person in in_front}
    free = tuple(
        helper
        for helper in Helper.objects.who_dance(lesson.course.dance_id)
        if helper.person_id not in there and can_take(helper.role, short.role)
    )
    return HelpersOf(lesson, called, short, free, spare)


def calls_for(lesson: LessonSession) -> tuple[HelperCall, ...]:
    """Who is called for it, by name. One query."""
    rows = lesson.helper_calls.select_related("person__helper", "called_by")
    return tuple(rows.order_by("person__name", "pk"))


def dances_as(call: HelperCall) -> str:
    """ "L", "F" or "B": what a called helper can dance; once off the list, what they were called for."""
    return EITHER if _dances_either(call) else call.role


def next_call(course: Course, dancing: Sequence[Enrolment]) -> HelpersOf | None:
    """Of the course's next lesson: who is short, and who can be called. At most three queries."""
    lessons = course.lessons.given().without_record().filter(date__gte=today()).in_order()
    lesson = lessons.select_related("course").first()
    return helpers_of(lesson, dancing, course.front.there) if lesson else None


def helpers_listed() -> list[Helper]:
    """Everybody who can be called, by name, each with `to_come`: what they are called for. Three queries."""
    calls = HelperCall.objects.filter(lesson__date__gte=today()).select_related("lesson__course")
    to_come = Prefetch(
        "person__helper_calls",
        calls.order_by("lesson__date", "lesson__start", "pk"),
        to_attr="to_come",
    )
    rows = Helper.objects.filter(person__is_active=True).select_related("person")
    return list(rows.prefetch_related("dances", to_come).order_by("person__name", "pk"))


def my_calls(person: Person) -> list[HelperCall]:
    """Lessons to come that somebody is called for. One query."""
    rows = HelperCall.objects.filter(person=person, lesson__date__gte=today())
    rows = rows.select_related("lesson__course", "lesson__room")
    return list(rows.order_by("lesson__date", "lesson__start", "pk"))


def floor_of(dancing: Iterable[Enrolment]) -> Floor:
    """Who dances, counted by role. No query."""
    floor = Floor(0, 0)
    for row in dancing:
        floor = floor.with_one_more(FloorRole(row.role).value, dances_both=row.dances_both)
    return floor


def _dances_either(call: HelperCall) -> bool:
    helper = getattr(call.person, "helper", None)
    return helper is not None and helper.role == EITHER
