"""All that is kept about one person, in plain values they can read and carry away."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.db.models import F, QuerySet

from lessons.models import (
    Attendance,
    Away,
    CalendarAddress,
    CatchUp,
    CourseInstructor,
    Enrolment,
    Helper,
    HelperCall,
    LessonInstructor,
    OwnMark,
    OwnNote,
    PrivateFigure,
    PrivateLesson,
    SignOff,
    Standing,
    TaughtElsewhere,
    TeachesNot,
)
from school.models import Invitation, Person, PhotoWord

Rows = list[dict[str, Any]]


def kept_about(person: Person) -> dict[str, Any]:
    """Heading -> what is kept: a value, or a list of rows. Ready for JSON but for days. Twenty queries.

    What an instructor or director did for the school (plans, records, sign-offs given) is the school's own
    record and not told here. Who asked not to be paired with whom is read by the named person only, for each
    such row is about two.
    """
    own: dict[str, Any] = {
        "name": person.name,
        "signs in as": person.username,
        "e-mail": person.email,
        "roles": sorted(person.roles),
        "at the school": person.is_active,
        "entered": person.created_at,
        "charts shown as": person.charts_as,
    }
    if person.is_minor:
        own |= {"under 18": True, "guardian": person.guardian_name}
    return {
        "person": own,
        "invitations": _rows(Invitation, person, "made_at", "used_at", "withdrawn_at"),
        "photographs and video": _rows(PhotoWord, person, "agrees", "said_on", "by_guardian"),
        "courses": _rows(
            Enrolment,
            person,
            "role",
            "dances_both",
            "joined",
            "left",
            "waiting",
            course_name=F("course__name"),
        ),
        "lessons attended": _rows(
            Attendance,
            person,
            "role",
            on=F("record__lesson__date"),
            course_name=F("record__lesson__course__name"),
        ),
        "catch-up lessons": _rows(
            CatchUp, person, "role", "state", on=F("lesson__date"), course_name=F("lesson__course__name")
        ),
        "may be called as a helper": _rows(Helper, person, "role"),
        "called as a helper": _rows(
            HelperCall, person, "role", on=F("lesson__date"), course_name=F("lesson__course__name")
        ),
        "private lessons": _rows(
            PrivateLesson,
            person,
            "date",
            "start",
            "minutes",
            "role",
            "homework",
            given_by=F("instructor__name"),
        ),
        "worked on in private lessons": _rows(
            PrivateFigure,
            person,
            "outcome",
            "went",
            "note",
            of="lesson__person",
            on=F("lesson__date"),
            figure_name=F("figure__name"),
        ),
        "calendar address": _rows(CalendarAddress, person, "made_at"),
        "levels": _rows(
            Standing, person, "role", dance_name=F("level__dance__name"), level_name=F("level__name")
        ),
        "signed off": _rows(
            SignOff,
            person,
            "role",
            "day",
            figure_name=F("figure__name"),
            habit_said=F("habit__habit"),
            by_whom=F("signed_by__name"),
        ),
        "learnt elsewhere": _rows(TaughtElsewhere, person, "role", figure_name=F("figure__name")),
        "own marks": _rows(OwnMark, person, "role", "mark", figure_name=F("figure__name")),
        "own notes": _rows(OwnNote, person, "text", figure_name=F("figure__name")),
        "teaches": _rows(CourseInstructor, person, course_name=F("course__name")),
        "lessons in front of": _rows(
            LessonInstructor, person, on=F("lesson__date"), course_name=F("lesson__course__name")
        ),
        "away": _rows(Away, person, "first_day", "last_day"),
        "does not teach": _rows(
            TeachesNot,
            person,
            dance_name=F("dance__name"),
            level_name=F("level__name"),
            figure_name=F("figure__name"),
        ),
    }


def _rows(model: Any, person: Person, *fields: str, of: str = "person", **named: F) -> Rows:
    """Each row by what its fields are called aloud, and what they say in words. One query."""
    rows: QuerySet[Any] = model._default_manager.filter(**{of: person}).order_by("pk")
    words = {name: dict(model._meta.get_field(name).flatchoices) for name in fields}
    return [
        {_aloud(name): _in_words(value, words.get(name, {})) for name, value in row.items()}
        for row in rows.values(*fields, **named)
    ]


def _aloud(field: str) -> str:
    return field.removesuffix("_name").replace("_", " ")


def _in_words(value: Any, choices: dict[Any, Any]) -> Any:
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    return str(choices[value]) if value in choices else value
