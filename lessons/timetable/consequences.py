"""What follows from a change to one lesson, said before it is made."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from copy import copy

from lessons.evening.cast import Cast
from lessons.evening.tonight import AGAIN, CARRY, NEW, Tonight
from lessons.models import LessonSession
from lessons.problems.wording import spoken_day, spoken_list
from lessons.timetable.hall import against_the_hall
from school.clock import today
from school.models import Room


def planned_there(tonight: Tonight) -> list[str]:
    """What the lesson holds, a sentence for each kind."""
    said = []
    for how, words in ((NEW, "New here"), (CARRY, "To be finished here"), (AGAIN, "Again here")):
        names = [item.key for item in tonight.of(how)]
        if names:
            said.append(f"{words}: {spoken_list(names)}.")
    return said or ["No figure is planned here."]


def of_cancelling(tonight: Tonight, cast: Cast) -> list[str]:
    said = planned_there(tonight)
    if tonight.planned:
        said.append("The plan keeps them and will show that they need another lesson.")
    dancers = "1 person is" if len(cast.enrolments) == 1 else f"{len(cast.enrolments)} people are"
    said.append(f"{dancers} enrolled. They read on their page that there is no class; tell them as well.")
    return said


def of_moving(lesson: LessonSession, date: dt.date, start: dt.time, room: Room, *, people: int) -> list[str]:
    """What a director should know before the lesson moves; nothing where nothing follows. One query.

    `people`: dancers, helpers called and those in front. What cannot be at all (no class that day, the room
    is taken) the action refuses at its field.
    """
    there = copy(lesson)
    there.date, there.start, there.room = date, start, room
    said = [*_outside_term(lesson, date), *_in_the_past(date), *against_the_hall(there, people=people)]
    passed = [spoken_day(other.date) for other in _passed(lesson, date, start)]
    if passed:
        lessons = "the lesson" if len(passed) == 1 else "the lessons"
        said.append(
            f"It passes {lessons} of {spoken_list(passed)}: "
            "what is planned there and here changes its order. Look at the plan afterwards."
        )
    return said


def of_restoring(tonight: Tonight, cast: Cast) -> list[str]:
    said = planned_there(tonight)
    names = spoken_list([person.name for person in cast.instructors])
    said.append(f"{names} in front of it, as before." if names else "Nobody stands in front of it.")
    said.append("Those enrolled find it on their page again; tell them as well.")
    return said


def of_giving(cast: Cast) -> list[str]:
    after = "Whoever takes it takes it alone, and writes its record."
    if cast.front.nobody:
        return [cast.front.nobody, after]
    names = spoken_list([person.name for person in cast.instructors])
    now = f"{names} now" if names else "Nobody now"
    verb = "stands" if len(cast.instructors) < 2 else "stand"
    return [f"{now} {verb} in front of it.", after]


def _outside_term(lesson: LessonSession, date: dt.date) -> Iterable[str]:
    term = lesson.course.term
    if not term.first_day <= date <= term.last_day:
        yield (
            f"{spoken_day(date)} lies outside {term}, "
            f"which runs from {spoken_day(term.first_day)} to {spoken_day(term.last_day)}."
        )


def _in_the_past(date: dt.date) -> Iterable[str]:
    if date < today():
        yield f"{spoken_day(date)} is past: the lesson will stand there as one without a record."


def _passed(lesson: LessonSession, date: dt.date, start: dt.time) -> list[LessonSession]:
    """Other lessons of the course that lie between where it is and where it goes."""
    here, there = sorted([(lesson.date, lesson.start), (date, start)])
    others = LessonSession.objects.given().filter(course=lesson.course_id, date__range=(here[0], there[0]))
    return [other for other in others.exclude(pk=lesson.pk) if here < (other.date, other.start) < there]
