"""Every table about a person: what they are told of it, and what becomes of it when they are erased."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, auto

from django.db.models import F, Model, Q, QuerySet

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
    NotPaired,
    OwnMark,
    OwnNote,
    PrivateFigure,
    PrivateLesson,
    SignOff,
    Standing,
    TaughtElsewhere,
    TeachesNot,
    TeachingPair,
)
from school.models import Invitation, Person, PersonRole, PhotoWord


class Fate(Enum):
    """What becomes of rows when their person is erased."""

    GOES = auto()
    """They say something of that person and of nobody else."""
    COUNTED = auto()
    """A course's and a lesson's counts are made of them: they stay without a name."""
    TAUGHT = auto()
    """The school's own record of who taught, which keeps whoever stands in it from being erased."""


@dataclass(frozen=True)
class About:
    """A table. told: the heading of its rows, "" where they are not told; fields, named: what of a row is
    told, as it is called there or by a name of ours. whose: the ways from a row to its person."""

    model: type[Model]
    fate: Fate
    told: str = ""
    fields: tuple[str, ...] = ()
    named: Mapping[str, F] = field(default_factory=dict)
    whose: tuple[str, ...] = ("person",)

    def rows(self, person: Person) -> QuerySet[Model]:
        """Those of a person, in the order in which they came."""
        of_them = Q()
        for way in self.whose:
            of_them |= Q(**{way: person})
        return self.model._default_manager.filter(of_them).order_by("pk")


COURSE = {"course_name": F("course__name")}
FIGURE = {"figure_name": F("figure__name")}
LESSON = {"on": F("lesson__date"), "course_name": F("lesson__course__name")}
ABOUT = (
    # Told among what is kept of the person themselves.
    About(PersonRole, Fate.GOES),
    About(Invitation, Fate.GOES, "invitations", ("made_at", "used_at", "withdrawn_at")),
    About(PhotoWord, Fate.GOES, "photographs and video", ("agrees", "said_on", "by_guardian")),
    About(
        Enrolment, Fate.COUNTED, "courses", ("role", "dances_both", "joined", "left", "waiting"), named=COURSE
    ),
    About(
        Attendance,
        Fate.COUNTED,
        "lessons attended",
        ("role",),
        named={"on": F("record__lesson__date"), "course_name": F("record__lesson__course__name")},
    ),
    About(CatchUp, Fate.GOES, "catch-up lessons", ("role", "state"), named=LESSON),
    About(Helper, Fate.GOES, "may be called as a helper", ("role",)),
    About(HelperCall, Fate.GOES, "called as a helper", ("role",), named=LESSON),
    About(
        PrivateLesson,
        Fate.COUNTED,
        "private lessons",
        ("date", "start", "minutes", "role", "homework"),
        named={"given_by": F("instructor__name")},
    ),
    About(
        PrivateFigure,
        Fate.COUNTED,
        "worked on in private lessons",
        ("outcome", "went", "note"),
        named={"on": F("lesson__date")} | FIGURE,
        whose=("lesson__person",),
    ),
    About(CalendarAddress, Fate.GOES, "calendar address", ("made_at",)),
    About(
        Standing,
        Fate.GOES,
        "levels",
        ("role",),
        named={"dance_name": F("level__dance__name"), "level_name": F("level__name")},
    ),
    About(
        SignOff,
        Fate.GOES,
        "signed off",
        ("role", "day"),
        named=FIGURE | {"habit_said": F("habit__habit"), "by_whom": F("signed_by__name")},
    ),
    About(TaughtElsewhere, Fate.GOES, "learnt elsewhere", ("role",), named=FIGURE),
    About(OwnMark, Fate.GOES, "own marks", ("role", "mark", "marked_at"), named=FIGURE),
    About(OwnNote, Fate.GOES, "own notes", ("text", "written_at"), named=FIGURE),
    About(CourseInstructor, Fate.TAUGHT, "teaches", named=COURSE),
    About(LessonInstructor, Fate.TAUGHT, "lessons in front of", named=LESSON),
    # Who stands in front of the lesson is told already.
    About(TeachingPair, Fate.TAUGHT, whose=("shows", "leads")),
    About(Away, Fate.GOES, "away", ("first_day", "last_day")),
    About(
        TeachesNot,
        Fate.GOES,
        "does not teach",
        named={"dance_name": F("dance__name"), "level_name": F("level__name")} | FIGURE,
    ),
    # Each row is about two: the school's named person alone reads it.
    About(NotPaired, Fate.GOES, whose=("person", "other")),
)
