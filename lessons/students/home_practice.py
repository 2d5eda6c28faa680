"""Ten minutes at home, for one student of one course: the steps with what each of them shows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db.models import Prefetch

from curriculum.chart_table import ROLES
from curriculum.count_player import CountPlayer, row_player
from curriculum.figure_page import ChartTable, charts_to_practise
from curriculum.models import Caution, ChartStep, Fault, Figure, StepChart
from curriculum.whose_part import role_shown
from lessons.actions.private import learnt_privately
from lessons.courses.knowledge import known_figures
from lessons.models import Course, Mark, Outcome, OwnMark, OwnNote, RecordedFigure
from lessons.problems.wording import spoken_day
from lessons.rules.home_practice import PracticeStep, TaughtFigure, Why, ten_minutes
from lessons.run_sheet.fitted import Reach, reach_of
from school.clock import today
from school.models import Person

# Usual cautions for practising alone, in our own words; common practice, no source.
ALONE = (
    "Clear the floor, mind rugs and socks, and hold on to a wall or a chair where you turn.",
    "Stop if it hurts or you are dizzy. What needs a partner’s hand or weight waits for the lesson.",
)
WARM_UP = "Walk the beat on the spot, then circle ankles, knees, hips and shoulders, small first."
CLOSE = "Say to yourself which one felt easier than last time, and mark each of them."
# From the worst, for somebody who marks both roles: the worse one asks for practice.
_WORST_FIRST = [Mark.NOT_YET.value, Mark.THINKING.value, "", Mark.EASY.value]


@dataclass(frozen=True)
class PracticePart:
    """A step with what stands under it. why: a sentence; note: the student's own."""

    step: PracticeStep
    figure: Figure | None = None
    why: str = ""
    charts: tuple[ChartTable, ...] = ()
    note: str = ""

    @property
    def ends(self) -> int:
        return self.step.start + self.step.minutes


@dataclass(frozen=True)
class HomePractice:
    """role: whose charts are shown, "leader", "follower", or "" for both. without_chart: the figure before
    which the player of the routine stops, for want of counts."""

    parts: tuple[PracticePart, ...]
    role: str
    reach: Reach | None
    player: CountPlayer | None
    without_chart: str


def home_practice(course: Course, person: Person) -> HomePractice:
    """At most 29 queries, whatever was taught."""
    role = role_shown(person, course.dance_id)
    known = frozenset(known_figures(course))
    reach = reach_of(course, on=today(), known=known)
    dances = bool(reach and reach.strip.danceable)
    taught = _taught(course, person, role)
    steps = ten_minutes(taught.values(), today=today(), has_routine=dances)
    figures = _figures([step.key for step in steps if step.key is not None])
    charts = charts_to_practise(list(figures.values()), course.dance, role=role)
    notes = dict(
        OwnNote.objects.filter(person=person, figure__in=figures).order_by().values_list("figure", "text")
    )
    player, missing = _routine_player(course, reach, role) if reach and dances else (None, "")
    parts = tuple(
        PracticePart(
            step,
            figures.get(step.key),
            _why(step, taught.get(step.key)),
            # Folded: a phone shows one thing at a time.
            tuple(replace(table, place=table.place + 1) for table in charts.get(step.key, ())),
            notes.get(step.key, ""),
        )
        for step in steps
    )
    return HomePractice(parts, role, reach, player, missing)


def _taught(course: Course, person: Person, role: str) -> dict[int, TaughtFigure]:
    """Figures of the dance that were new or danced again in lessons the student was in. Four queries."""
    rows = RecordedFigure.objects.filter(
        record__attendance__person=person,
        figure__dance=course.dance_id,
        outcome__in=[Outcome.INTRODUCED, Outcome.REVIEWED],
    )
    days: dict[int, list[dt.date]] = {}
    for figure, day in rows.order_by("record__lesson__date", "pk").values_list(
        "figure", "record__lesson__date"
    ):
        days.setdefault(figure, []).append(day)
    for figure, day in learnt_privately(person).items():
        days.setdefault(figure, []).append(day)
    figures = Figure.objects.filter(pk__in=days, dance=course.dance_id).in_teaching_order()
    marks = _marks(person, days, role)
    return {
        pk: TaughtFigure(pk, tuple(days[pk]), marks.get(pk, ""), place)
        for place, pk in enumerate(figures.values_list("pk", flat=True))
    }


def _marks(person: Person, figures: dict[int, list[dt.date]], role: str) -> dict[int, str]:
    """Figure (pk) -> the mark in the role that is practised; the worse of two for both."""
    rows = OwnMark.objects.filter(person=person, figure__in=figures).order_by()
    found: dict[int, list[str]] = {}
    for figure, marked_role, mark in rows.values_list("figure", "role", "mark"):
        if role in ("", ROLES[marked_role]):
            found.setdefault(figure, []).append(mark)
    return {figure: min(marks, key=_WORST_FIRST.index) for figure, marks in found.items()}


def _figures(keys: Sequence[object]) -> dict[int, Figure]:
    faults = Prefetch("faults", Fault.objects.order_by("position", "pk"))
    cautions = Prefetch("cautions", Caution.objects.order_by("position", "pk"))
    rows = Figure.objects.filter(pk__in=keys).select_related("level").prefetch_related(faults, cautions)
    return {figure.pk: figure for figure in rows}


def _why(step: PracticeStep, figure: TaughtFigure | None) -> str:
    if figure is None:
        return ""
    last = spoken_day(max(figure.danced))
    return {
        Why.FRESH: f"First danced on {spoken_day(min(figure.danced))}: once more before it fades.",
        Why.NOT_YET: "You marked it “not yet”.",
        Why.DUE: f"Due again: last danced on {last}.",
        Why.AGAIN: f"Last danced on {last}.",
    }[step.why or Why.AGAIN]


def _routine_player(course: Course, reach: Reach, role: str) -> tuple[CountPlayer | None, str]:
    """The counts of the routine as far as it can be danced, and the figure they stop at for want of a chart.
    Three queries."""
    rows = course.routine.items.filter(passage__isnull=False).order_by("position")
    passages = [item.passage for item in rows.select_related("passage__figure", "passage__chart")][
        : reach.strip.danceable
    ]
    charts = {chart.pk: chart for chart in _charts([passage.chart_id for passage in passages])}
    row, missing = [], ""
    for passage in passages:
        if passage.chart_id is None:
            missing = passage.figure.name
            break
        row.append((passage.figure.name, charts[passage.chart_id]))
    return row_player("routine", course.routine.name, row, course.dance, role=role), missing


def _charts(keys: Sequence[int | None]) -> list[StepChart]:
    steps = ChartStep.objects.order_by("role", "position")
    wanted = [key for key in keys if key is not None]
    return list(StepChart.objects.filter(pk__in=wanted).prefetch_related(Prefetch("steps", steps)))
