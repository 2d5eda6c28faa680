"""What the page of one figure shows."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from django.db.models import Prefetch, Q

from curriculum.access import on_open_level, open_levels
from curriculum.chart_table import Moment, moments
from curriculum.check import check_figure, rules_of
from curriculum.count_player import CountPlayer, count_player
from curriculum.foot_map import FootMap, foot_map
from curriculum.hooks import RenderedSection, figure_notes
from curriculum.models import (
    Caution,
    ChartStep,
    Dance,
    Fault,
    Figure,
    Hold,
    Passage,
    Prerequisite,
    Routine,
    StepChart,
)
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.rules.chart import Finding
from curriculum.stance_words import way_words
from curriculum.whose_part import role_shown
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
class FiguresAround:
    """`needs`: with whether the same evening will do, open to the reader or not. `opens`: those open to them.
    `forms`: what a figure is to this one ("An easier form") and the figure, with whether the reader may open
    it: first forms it names, then open ones that name it."""

    needs: tuple[tuple[Figure, bool], ...]
    opens: tuple[Figure, ...]
    forms: tuple[tuple[str, Figure, bool], ...]


@dataclass(frozen=True)
class FigurePage:
    """`other_names`: beside the main one. `role`: whose part is shown, "" for both. `notes`: sections other
    apps add."""

    figure: Figure
    other_names: tuple[str, ...]
    cautions: tuple[Caution, ...]
    ways: tuple[Way, ...]
    charts: tuple[ChartTable, ...]
    faults: tuple[Fault, ...]
    around: FiguresAround
    routines: tuple[Routine, ...]
    role: str
    notes: tuple[RenderedSection, ...]

    @property
    def early(self) -> tuple[RenderedSection, ...]:
        return tuple(note for note in self.notes if note.early)

    @property
    def late(self) -> tuple[RenderedSection, ...]:
        return tuple(note for note in self.notes if not note.early)


def figure_page(figure: Figure, *, reader: Person) -> FigurePage:
    """Everything about the figure that `reader` may see.

    Ten queries at most, whatever the figure has, one more for who teaches, if it has a chart, and for who
    learns, and what the notes of other apps cost. Each says its own order: the order of rows by themselves
    goes by that of their figures, and a query that joins those in takes longer to put together than to
    answer.
    """
    role = role_shown(reader, figure.dance_id)
    holds = list(figure.dance.holds.order_by("pk"))
    passages = list(figure.passages.order_by("position", "pk"))
    steps = ChartStep.objects.order_by("role", "position")
    charts = list(figure.charts.order_by("pk").prefetch_related(Prefetch("steps", steps)))
    _join_holds(holds, passages, charts)
    teaches = reader.is_director or reader.is_instructor
    found = (
        check_figure(figure, charts, passages, rules_of(figure.dance, holds)) if charts and teaches else {}
    )
    names = figure.names.filter(is_main=False).order_by("pk").values_list("name", flat=True)
    routines = Routine.objects.filter(on_open_level(reader), items__passage__in=passages)
    return FigurePage(
        figure=figure,
        other_names=tuple(names),
        cautions=tuple(figure.cautions.order_by("position", "pk")),
        ways=tuple(Way(row, *way_words(row, figure.dance)) for row in passages),
        charts=tuple(_tables(figure, charts, passages, found, role)),
        faults=tuple(figure.faults.order_by("position", "pk")),
        around=_around(figure, open_levels(reader)),
        routines=tuple(routines.select_related("level").order_by("level__rank", "name").distinct()),
        role=role,
        notes=tuple(note for write in figure_notes if (note := write(figure, reader)) is not None),
    )


def _join_holds(holds: Iterable[Hold], passages: Iterable[Passage], charts: Iterable[StepChart]) -> None:
    """Gives ways and steps their holds: the dance has a handful, and they are spoken of in every row."""
    known = {hold.pk: hold for hold in holds}
    for row in passages:
        if row.entry_hold_id in known:
            row.entry_hold = known[row.entry_hold_id]
        if row.exit_hold_id in known:
            row.exit_hold = known[row.exit_hold_id]
    for step in (step for chart in charts for step in chart.steps.all()):
        if step.hold_id in known:
            step.hold = known[step.hold_id]


def _around(figure: Figure, opened: frozenset[int] | None) -> FiguresAround:
    """The figures around this one, each list in teaching order. `opened`: keys of the levels the reader may
    read, None for all. Two queries."""
    edges = Prerequisite.objects.filter(Q(figure=figure) | Q(needs=figure)).order_by()
    needs: dict[int, bool] = {}
    opens = set()
    for namer, needed, same_evening in edges.values_list("figure", "needs", "same_evening"):
        if namer == figure.pk:
            needs[needed] = same_evening
        else:
            opens.add(namer)
    named = [(label, getattr(figure, f"{field}_id")) for field, label, _ in _FORMS]
    wanted = Q(pk__in={*needs, *opens, *(pk for _, pk in named)} - {None})
    for field, _, _ in _FORMS:
        wanted |= Q(**{field: figure})
    there = {row.pk: row for row in Figure.objects.filter(wanted).select_related("level").in_teaching_order()}
    may_open = {pk for pk, row in there.items() if opened is None or row.level_id in opened}
    named_forms = ((label, there[pk], pk in may_open) for label, pk in named if pk in there)
    namers = (
        (label, row, True)
        for field, _, label in _FORMS
        for row in there.values()
        if row.pk in may_open and getattr(row, f"{field}_id") == figure.pk
    )
    return FiguresAround(
        needs=tuple((row, needs[pk]) for pk, row in there.items() if pk in needs),
        opens=tuple(row for pk, row in there.items() if pk in opens & may_open),
        forms=(*named_forms, *namers),
    )


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


def charts_to_practise(
    figures: Sequence[Figure], dance: Dance, *, role: str = ""
) -> dict[int, tuple[ChartTable, ...]]:
    """Figure (pk) -> its charts, for several figures of one dance: four queries for any number."""
    holds = list(dance.holds.order_by("pk"))
    passages = list(Passage.objects.filter(figure__in=figures).order_by("position", "pk"))
    steps = ChartStep.objects.order_by("role", "position")
    rows = StepChart.objects.filter(figure__in=figures).order_by("pk")
    charts = list(rows.prefetch_related(Prefetch("steps", steps)))
    _join_holds(holds, passages, charts)
    found = {}
    for figure in figures:
        figure.dance = dance
        own = [chart for chart in charts if chart.figure_id == figure.pk]
        for chart in own:
            chart.figure = figure
        ways = [passage for passage in passages if passage.figure_id == figure.pk]
        found[figure.pk] = tuple(_tables(figure, own, ways, {}, role))
    return found


def _part_beats(chart: StepChart, figure: Figure) -> Fraction | None:
    """How long the chart is, if that is shorter than the figure; None for the whole, or an empty one."""
    ticks: dict[str, int] = defaultdict(int)
    for step in chart.steps.all():
        ticks[step.role] += step.ticks
    longest = max(ticks.values(), default=0)
    return Fraction(longest, TICKS_PER_BEAT) if 0 < longest < (figure.ticks or 0) else None
