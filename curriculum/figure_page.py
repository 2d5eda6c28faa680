"""What the page of one figure shows."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Prefetch

from curriculum.access import levels_for
from curriculum.chart_table import Moment, moments
from curriculum.check import check_figure, rules_of
from curriculum.count_player import CountPlayer, count_player
from curriculum.foot_map import FootMap, foot_map
from curriculum.models import ChartStep, Dance, Figure, Passage, Routine, StepChart
from curriculum.rules.chart import Finding
from curriculum.stance_words import way_words
from school.models import Person


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
    rows, map and player are worked out only when they are asked for.
    """

    chart: StepChart
    dance: Dance
    ways: tuple[str, ...]
    place: int
    is_only: bool
    foot_map: FootMap | None
    findings: tuple[Finding, ...] = ()

    @cached_property
    def rows(self) -> tuple[Moment, ...]:
        return tuple(moments(self.chart, beats_per_bar=self.dance.beats_per_bar))

    @cached_property
    def player(self) -> CountPlayer | None:
        return count_player(self.chart, self.dance)

    @property
    def fingerprint(self) -> str:
        """The same for charts that look the same: all that is shown of one goes into it."""
        chart, dance, figure = self.chart, self.dance, self.chart.figure
        shown = (
            *(chart.pk, chart.name, chart.note, figure.name, self.ways, self.place, self.is_only),
            *(dance.beats_per_bar, dance.slowest_bars_per_minute, dance.quickest_bars_per_minute),
            self.foot_map,
        )
        return hashlib.blake2s(repr(shown).encode()).hexdigest()


@dataclass(frozen=True)
class FigurePage:
    figure: Figure
    ways: tuple[Way, ...]
    charts: tuple[ChartTable, ...]
    needs: tuple[tuple[Figure, bool], ...]
    opens: tuple[Figure, ...]
    routines: tuple[Routine, ...]


def figure_page(figure: Figure, *, reader: Person) -> FigurePage:
    """Everything about the figure that `reader` may see. Twelve queries, whatever the figure has, and
    three more for who teaches, if it has a chart."""
    levels = levels_for(reader)
    passages = list(figure.passages.select_related("figure", "entry_hold", "exit_hold"))
    charts = list(figure.charts.prefetch_related(Prefetch("steps", ChartStep.objects.select_related("hold"))))
    teaches = reader.is_director or reader.is_instructor
    found = check_figure(figure, charts, passages, rules_of(figure.dance)) if charts and teaches else {}
    needs = figure.prerequisites.select_related("needs__level").order_by("needs__level__rank", "needs__order")
    return FigurePage(
        figure=figure,
        ways=tuple(Way(row, *way_words(row, figure.dance)) for row in passages),
        charts=tuple(_tables(figure, charts, passages, found)),
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
    )


def _tables(
    figure: Figure,
    charts: list[StepChart],
    passages: list[Passage],
    found: Mapping[int, tuple[Finding, ...]],
) -> Iterator[ChartTable]:
    for place, chart in enumerate(charts):
        danced = [passage for passage in passages if passage.chart_id == chart.pk]
        yield ChartTable(
            chart=chart,
            dance=figure.dance,
            ways=tuple(passage.label for passage in danced if passage.label not in ("", chart.name)),
            place=place,
            is_only=len(charts) == 1,
            foot_map=foot_map(chart, passages, figure.dance),
            findings=found.get(chart.pk, ()),
        )
