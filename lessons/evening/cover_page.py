"""All that somebody needs who takes a lesson over and has never seen the course: one page, no sign-in.

First names only, and nobody under 18 is named at all, neither in lists nor in what somebody typed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch

from curriculum.chart_table import Moment, moments
from curriculum.models import ChartStep, Figure, FloorRole, StepChart
from lessons.evening.cast import Cast, cast_of, people_in
from lessons.evening.newcomers import Newcomers, newcomers_of
from lessons.models import LessonSession
from lessons.people.first_names import first_names, without_surnames
from lessons.people.helpers import calls_for
from lessons.run_sheet.beside import pair_said
from lessons.run_sheet.fitted import RunSheet, run_sheet
from school.models import Person, Role, School


@dataclass(frozen=True)
class Named:
    """How many dance a role, and the first names of those who may be named."""

    role: str
    count: int
    names: tuple[str, ...]

    @property
    def unnamed(self) -> int:
        return self.count - len(self.names)


@dataclass(frozen=True)
class CoverChart:
    """A figure's chart; the first of each figure is enough on paper, where space is short."""

    figure: Figure
    is_first: bool
    name: str
    rows: tuple[Moment, ...]


@dataclass(frozen=True)
class CoverPage:
    """taken_from: whose place the reader takes; beside_you: who else stands in front; called: helpers of age,
    each with the role; people: how many are expected in the room."""

    lesson: LessonSession
    sheet: RunSheet
    cast: Cast
    taken_from: tuple[str, ...]
    beside_you: tuple[str, ...]
    dancers: tuple[Named, ...]
    taught: tuple[tuple[str, dt.date], ...]
    charts: tuple[CoverChart, ...]
    newcomers: tuple[Newcomers, ...]
    pair: str
    note: str
    first_aid: str
    room_note: str
    called: tuple[str, ...]
    people: int


def cover_page(lesson: LessonSession, school: School | None, *, handed_on_by: int | None) -> CoverPage:
    """handed_on_by: who made the link (pk); one of several in front hands on their own place.

    At most 32 queries, whatever the size of course, plan or records."""
    sheet, cast = run_sheet(lesson), cast_of(lesson)
    staff = list(Person.objects.with_role(Role.DIRECTOR, Role.INSTRUCTOR))
    people = [*(row.person for row in cast.enrolments), *staff, *cast.instructors]
    names = first_names(people)

    def cleaned(text: str) -> str:
        return without_surnames(text, {person.pk: person for person in people}.values())

    calls = calls_for(lesson)
    own = [person for person in cast.instructors if person.pk == handed_on_by] or list(cast.instructors)
    last = sheet.tonight.last
    return CoverPage(
        lesson=lesson,
        sheet=sheet,
        cast=cast,
        taken_from=_named_of_age(own),
        beside_you=_named_of_age(person for person in cast.instructors if person not in own),
        dancers=tuple(_named(cast, role, names) for role in (FloorRole.LEADER, FloorRole.FOLLOWER)),
        taught=_taught(sheet),
        charts=charts_of(lesson, [item.figure for item in sheet.figures]),
        newcomers=newcomers_of(lesson, cast, sheet.tonight.taught, with_minors=False),
        pair=pair_said(lesson, cast.instructors),
        note=cleaned(last.note) if last else "",
        first_aid=cleaned(school.first_aid) if school else "",
        room_note=cleaned(lesson.room.note),
        called=tuple(
            f"{call.person.first_name} as {call.get_role_display()}"
            for call in calls
            if not call.person.is_minor
        ),
        people=people_in(cast, calls),
    )


def _named(cast: Cast, role: str, names: dict[int, str]) -> Named:
    people = [row.person for row in cast.enrolments if row.role == role]
    return Named(role, len(people), _named_of_age(people))


def _named_of_age(people: Iterable[Person]) -> tuple[str, ...]:
    return tuple(person.first_name for person in people if not person.is_minor)


def _taught(sheet: RunSheet) -> tuple[tuple[str, dt.date], ...]:
    """What the course's records say was introduced before this lesson, oldest first. One query."""
    days = sheet.tonight.taught
    rows = Figure.objects.filter(pk__in=days).values_list("pk", "name")
    return tuple(sorted(((name, days[pk]) for pk, name in rows), key=lambda row: (row[1], row[0])))


def charts_of(lesson: LessonSession, figures: list[Figure]) -> tuple[CoverChart, ...]:
    """The figures' charts in the order of the evening. Two queries."""
    steps = ChartStep.objects.select_related("hold").order_by("role", "position")
    rows = StepChart.objects.filter(figure__in=figures).order_by("pk")
    of_figure: dict[int, list[StepChart]] = {}
    for chart in rows.prefetch_related(Prefetch("steps", steps)):
        of_figure.setdefault(chart.figure_id, []).append(chart)
    beats = lesson.course.dance.beats_per_bar
    return tuple(
        CoverChart(figure, place == 0, chart.name, tuple(moments(chart, beats_per_bar=beats)))
        for figure in figures
        for place, chart in enumerate(of_figure.get(figure.pk, ()))
    )
