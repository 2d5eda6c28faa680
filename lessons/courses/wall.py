"""A course as its wall shows it: the level's syllabus and what of it was taught.

No names, and neither times nor rooms: of lessons that minors come to, nobody says in public when and where
they are (common practice, no source).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from curriculum.models import Figure
from lessons.courses.knowledge import known_figures, taught_in
from lessons.models import Course, WallAddress


@dataclass(frozen=True)
class WallPage:
    """taught: in the order it was, with its day; to_come: the rest of the course's levels in teaching order,
    without a day; known: brought along from before."""

    course: Course
    taught: tuple[tuple[str, dt.date], ...]
    known: tuple[str, ...]
    to_come: tuple[str, ...]


def wall_page(course: Course) -> WallPage:
    """Six queries at most, whatever the course's size."""
    taught, known = taught_in(course), known_figures(course)
    own = {level.pk for level in course.levels.all()}
    figures = list(Figure.objects.filter(dance=course.dance_id).in_teaching_order())
    names = {figure.pk: figure.name for figure in figures}
    on_level = [figure.pk for figure in figures if figure.level_id in own]
    return WallPage(
        course=course,
        taught=tuple((names[pk], day) for pk, day in sorted(taught.items(), key=lambda one: one[1])),
        known=tuple(names[pk] for pk in on_level if pk in known and pk not in taught),
        to_come=tuple(names[pk] for pk in on_level if pk not in known and pk not in taught),
    )


def open_wall_addresses(course: Course, day: dt.date) -> list[WallAddress]:
    """Newest first. One query."""
    return list(WallAddress.objects.live(day).filter(course=course).select_related("made_by"))
