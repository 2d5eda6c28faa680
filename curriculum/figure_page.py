"""What the page of one figure shows."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from django.db.models import Prefetch, Q, QuerySet

from curriculum.access import levels_for
from curriculum.chart_table import ROLES, Moment, moments
from curriculum.check import check_figure, rules_of
from curriculum.count_player import CountPlayer, count_player
from curriculum.foot_map import FootMap, foot_map
from curriculum.hooks import RenderedSection, figure_notes
from curriculum.models import ChartStep, Dance, Fault, Figure, Level, Passage, Routine, StepChart
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.rules.chart import Finding
from curriculum.stance_words import way_words
from school.models import Person

_FORMS = (
    ("easier_form", "An easier form", "A harder form"),
    ("open_form", "In an open hold", "In a closed hold"),
    ("extension", "Grows into", "Grows out of"),
)
"""The field, what the figure it names is to this one, and what this one's namer is."""


@dataclass(frozen=True)
class Way:
    """A way in and out, in words; `chart` is danced in it where one is there."""

    passage: Passage
    start: str
    end: str


@dataclass(frozen=True)
class ChartTable:
    """A chart to be practised: as rows, on the floor, by its counts. `ways`: names of the ways that dance it,
    where not all do. `findings`: what is wrong with it, for those who teach from it.

    Drawing costs more than all else on the page, so the page keeps what it has drawn under `fingerprint`, and
    rows, map and player are worked out only when they are asked for. `role`: the one it is shown for, or "".
    `part_beats`: how long it is, where it is only a part of the figure.
    """

    chart: StepChart
    dance: Dance
    ways: tuple[str, ...]
    place: int
    is_only: bool
    foot_map: FootMap | None
    findings: tuple[Finding, ...] = ()
    role: str = ""
    part_beats: Fraction | None = None

    @cached_property
    def rows(self) -> tuple[Moment, ...]:
        return tuple(moments(self.chart, beats_per_bar=self.dance.beats_per_bar, role=self.role))

    @cached_property
    def player(self) -> CountPlayer | None:
        return count_player(self.chart, self.dance, role=self.role)

    @property
    def fingerprint(self) -> str:
        """The same for charts that look the same: all that is shown of one goes into it."""
        chart, dance, figure = self.chart, self.dance, self.chart.figure
        shown = (
            *(chart.pk, chart.name, chart.note, figure.name, self.ways, self.place, self.is_only),
            *(dance.beats_per_bar, dance.slowest_bars_per_minute, dance.quickest_bars_per_minute),
            self.foot_map,
            self.role,
        )
        return hashlib.blake2s(repr(shown).encode()).hexdigest()


@dataclass(frozen=True)
class FigurePage:
    """`forms`: what a figure is to this one ("An easier form") and the figure, with whether the reader may
    open it. `role`: whose part is shown, "" for both. `notes`: sections other apps add."""

    figure: Figure
    ways: tuple[Way, ...]
    charts: tuple[ChartTable, ...]
    faults: tuple[Fault, ...]
    needs: tuple[tuple[Figure, bool], ...]
    opens: tuple[Figure, ...]
    routines: tuple[Routine, ...]
    forms: tuple[tuple[str, Figure, bool], ...]
    role: str
    notes: tuple[RenderedSection, ...]

    @property
    def keep_role(self) -> str:
        """What a link to another figure ends with, so that it opens for the same role."""
        return f"?role={self.role}" if self.role else ""


def figure_page(figure: Figure, *, reader: Person, role: str = "") -> FigurePage:
    """Everything about the figure that `reader` may see, for "leader", "follower" or (anything else) both.

    Fourteen queries, whatever the figure has, three more for who teaches, if it has a chart, and what the
    notes of other apps cost.
    """
    role = role if role in ROLES.values() else ""
    levels = levels_for(reader)
    passages = list(figure.passages.select_related("figure", "entry_hold", "exit_hold"))
    charts = list(figure.charts.prefetch_related(Prefetch("steps", ChartStep.objects.select_related("hold"))))
    teaches = reader.is_director or reader.is_instructor
    found = check_figure(figure, charts, passages, rules_of(figure.dance)) if charts and teaches else {}
    needs = figure.prerequisites.select_related("needs__level").order_by("needs__level__rank", "needs__order")
    return FigurePage(
        figure=figure,
        ways=tuple(Way(row, *way_words(row, figure.dance)) for row in passages),
        charts=tuple(_tables(figure, charts, passages, found, role)),
        faults=tuple(figure.faults.all()),
        needs=tuple((row.needs, row.same_evening) for row in needs),
        opens=tuple(
            Figure.objects.filter(prerequisites__needs=figure, level__in=levels)
            .select_related("level")
            .in_teaching_order()
        ),
        routines=tuple(
            Routine.objects.filter(items__passage__figure=figure, level__in=levels)
            .select_related("level")
            .order_by("level__rank", "name")
            .distinct()
        ),
        forms=tuple(_forms(figure, levels)),
        role=role,
        notes=tuple(note for write in figure_notes if (note := write(figure, reader)) is not None),
    )


def _forms(figure: Figure, levels: QuerySet[Level]) -> Iterator[tuple[str, Figure, bool]]:
    """Other forms of the figure: those it names, open to the reader or not, then open ones that name it."""
    named = [(label, getattr(figure, field)) for field, label, _ in _FORMS]
    wanted = Q(pk__in=[form.pk for _, form in named if form is not None])
    for field, _, _ in _FORMS:
        wanted |= Q(**{field: figure})
    there = list(Figure.objects.filter(wanted, level__in=levels).select_related("level").in_teaching_order())
    open_to_reader = {form.pk for form in there}
    yield from ((label, form, form.pk in open_to_reader) for label, form in named if form is not None)
    for field, _, label in _FORMS:
        yield from ((label, form, True) for form in there if getattr(form, f"{field}_id") == figure.pk)


def _tables(
    figure: Figure,
    charts: list[StepChart],
    passages: list[Passage],
    found: Mapping[int, tuple[Finding, ...]],
    role: str,
) -> Iterator[ChartTable]:
    """The charts, those of a part of the figure behind those of the whole."""
    parts = {chart.pk: beats for chart in charts if (beats := _part_beats(chart, figure)) is not None}
    if len(parts) == len(charts):
        parts = {}
    for place, chart in enumerate(sorted(charts, key=lambda chart: chart.pk in parts)):
        danced = [passage for passage in passages if passage.chart_id == chart.pk]
        yield ChartTable(
            chart=chart,
            dance=figure.dance,
            ways=tuple(passage.label for passage in danced if passage.label not in ("", chart.name)),
            place=place,
            is_only=len(charts) == 1,
            foot_map=foot_map(chart, passages, figure.dance),
            findings=found.get(chart.pk, ()),
            role=role,
            part_beats=parts.get(chart.pk),
        )


def _part_beats(chart: StepChart, figure: Figure) -> Fraction | None:
    """How long the chart is, if that is shorter than the figure; None for the whole, or an empty one."""
    ticks: dict[str, int] = defaultdict(int)
    for step in chart.steps.all():
        ticks[step.role] += step.ticks
    longest = max(ticks.values(), default=0)
    return Fraction(longest, TICKS_PER_BEAT) if 0 < longest < (figure.ticks or 0) else None
