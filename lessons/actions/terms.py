"""A standing term changed or deleted: what hangs on its days follows, or keeps them as they are."""

from __future__ import annotations

import datetime as dt
import logging
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from lessons.actions.again import plan_rest_again
from lessons.actions.laying_out import missing_lessons
from lessons.models import Course, LessonSession, Milestone
from lessons.problems.wording import spoken_day, spoken_list
from school.clock import today
from school.models import Closure, Person, Term
from school.removal import remove_unused

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Outside:
    """A lesson or a milestone that would lie outside its term. `what`: in words, "Waltz meets"; `page`: the
    name of the page where row `pk` is moved."""

    day: dt.date
    what: str
    page: str
    pk: int

    def __str__(self) -> str:
        return f"{self.what} on {spoken_day(self.day)}"


def lies_outside(term: Term) -> dict[str, list[Outside]]:
    """What of the term's courses would lie outside it, by the day that shuts it out, furthest out first.
    `term`: with its new days, not yet saved. Two queries."""
    lessons = LessonSession.objects.given().filter(course__term=term).select_related("course")
    stones = Milestone.objects.filter(course__term=term).select_related("course")
    found = [Outside(one.date, f"{one.course} meets", "lessons:lesson", one.pk) for one in lessons]
    found += [Outside(one.day, f"{one.name} is", "lessons:milestone", one.pk) for one in stones]
    found.sort(key=lambda one: (one.day, one.what))
    before = [one for one in found if one.day < term.first_day]
    after = [one for one in reversed(found) if one.day > term.last_day]
    return {field: rows for field, rows in (("first_day", before), ("last_day", after)) if rows}


def refuse_outside(outside: dict[str, list[Outside]]) -> None:
    """ValidationError, at the day it concerns, where anything of `lies_outside` is there."""
    if outside:
        raise ValidationError({field: _refusal(rows) for field, rows in outside.items()})


def _refusal(rows: list[Outside]) -> str:
    others = len(rows) - 1
    more = f", and {others} more {'lies' if others == 1 else 'lie'} outside" if others else ""
    return f"{rows[0]}{more}. Move or cancel what lies outside first."


def lessons_gained(term: Term, was: Term) -> list[LessonSession]:
    """The lessons to come that a longer term brings its courses, not yet saved: on days that lay outside it.
    Five queries at most."""
    if was.first_day <= term.first_day and term.last_day <= was.last_day:
        return []
    closures = list(Closure.objects.filter(first_day__lte=term.last_day, last_day__gte=term.first_day))
    gained = []
    for course in Course.objects.filter(term=term).prefetch_related("meetings__room", "lessons"):
        course.term = term
        missing = missing_lessons(course, course.meetings.all(), since=today(), closures=closures)
        gained += [one for one in missing if not was.first_day <= one.date <= was.last_day]
    return gained


def said_of_overlaps(term: Term, was: Term | None = None) -> list[str]:
    """Which other terms it shares days with, from when to when, to be read first: a school may want that, and
    else it is a slip. Not what it shared with them as it `was`. One query, or none where its days stay."""
    if was and (was.first_day, was.last_day) == (term.first_day, term.last_day):
        return []
    said = []
    for other in Term.objects.overlapping(term):
        shared = term.shared_with(other)
        if shared and not (was and was.shared_with(other) == shared):
            said.append(
                f"It overlaps {other}, {_spoken_days(*shared)}. Go on if that is meant, as with a course in "
                "the holidays."
            )
    return said


def _spoken_days(first: dt.date, last: dt.date) -> str:
    if first == last:
        return f"on {spoken_day(first)}"
    return f"from {spoken_day(first)} to {spoken_day(last)}"


def said_of_days(term: Term, was: Term) -> list[str]:
    """What follows from the new days, to be read first: nothing where nothing does."""
    days: dict[str, list[dt.date]] = {}
    for lesson in lessons_gained(term, was):
        days.setdefault(str(lesson.course), []).append(lesson.date)
    gained = [
        f"{course} gets {_count(len(dates))}: {spoken_list([spoken_day(day) for day in sorted(dates)])}."
        for course, dates in sorted(days.items())
    ]
    return said_of_overlaps(term, was) + gained


def follow_days(term: Term, was: Term, *, by: Person) -> None:
    """Lay out what a longer term brings, and plan again what that changes. In the transaction of its save."""
    gained = lessons_gained(term, was)
    LessonSession.objects.bulk_create(gained)
    said = f"{term} now runs from {spoken_day(term.first_day)} to {spoken_day(term.last_day)}."
    plan_rest_again(courses={lesson.course_id for lesson in gained}, by=by, occasion=said)
    logger.info("%s changed the term %s, which brought %s lessons", by.pk, term.pk, len(gained))


@transaction.atomic
def remove_term(*, term: Term, by: Person) -> None:
    """ValidationError where a course, or anything else, hangs on it."""
    remove_unused(term)
    logger.info("%s deleted a term", by.pk)


def _count(lessons: int) -> str:
    return "one more lesson" if lessons == 1 else f"{lessons} more lessons"
