"""The four steps of a school that has never had a course: each can be left and come back to."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse

from curriculum.models import Dance, Figure, Level
from lessons.models import Course
from school.models import Room, Term


@dataclass(frozen=True)
class Step:
    """says: what it is for, or what is still missing; ways: (words, address) of each way to go on."""

    title: str
    is_done: bool
    says: str
    ways: tuple[tuple[str, str], ...]


def beginning() -> tuple[Step, ...]:
    """The steps, done or not; none once there is a course. Six queries, or one."""
    if Course.objects.exists():
        return ()
    dance = Dance.objects.order_by("pk").first()
    has_level, has_figure = Level.objects.exists(), Figure.objects.exists()
    return (_the_school(), _dances(dance), _figures(dance, has_level, has_figure), _term_and_course())


def _the_school() -> Step:
    has_room = Room.objects.exists()
    return Step(
        "The school and its rooms",
        has_room,
        "Name, town and time zone, who moves on when partners change, and a room to meet in.",
        (
            ("Look at the school", reverse("school:set-up")),
            ("Add another room" if has_room else "Add the first room", reverse("school:room-new")),
        ),
    )


def _dances(dance: Dance | None) -> Step:
    return Step(
        "The dances",
        dance is not None,
        "The common partner dances come with their rhythms, holds and tempi; others you make yourself.",
        (("Make another dance" if dance else "Make the first dance", reverse("curriculum:dance-new")),),
    )


def _figures(dance: Dance | None, has_level: bool, has_figure: bool) -> Step:
    by_file = ("From a curriculum file, dances and all", reverse("curriculum:file-in"))
    if dance is None:
        says = "Levels and the figures on them. A curriculum file brings the dances along."
        return Step("Levels and figures", has_figure, says, (by_file,))
    if not has_level:
        ways = (("Make the first level", reverse("curriculum:level-new", args=[dance.pk])), by_file)
        return Step(
            "Levels and figures", has_figure, f"A level of {dance.name} first, then figures on it.", ways
        )
    ways = (
        ("Figures by spreadsheet", reverse("curriculum:spreadsheet-in", args=[dance.pk])),
        ("Figures one by one", reverse("curriculum:dance", args=[dance.pk])),
        by_file,
    )
    return Step(
        "Levels and figures", has_figure, "With the minutes each figure takes, and what it needs.", ways
    )


def _term_and_course() -> Step:
    has_term = Term.objects.exists()
    return Step(
        "The first term and course",
        False,
        "The course is what is missing still." if has_term else "From when to when you teach, and whom.",
        (
            (
                ("Make the first course", reverse("lessons:course-new"))
                if has_term
                else ("Begin a term", reverse("lessons:term-new"))
            ),
        ),
    )
