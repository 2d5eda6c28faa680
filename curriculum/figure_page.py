"""What the page of one figure shows."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch

from curriculum.access import levels_for
from curriculum.chart_table import Moment, moments
from curriculum.check import check_figure, rules_of
from curriculum.count_player import CountPlayer, count_player
from curriculum.foot_map import FootMap, foot_map
from curriculum.models import ChartStep, Figure, Passage, Routine, StepChart
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
    """A chart as rows. `ways`: names of the ways that dance it, where not all do. `findings`: what is wrong
    with it, for those who teach from it."""

    chart: StepChart
    rows: tuple[Moment, ...]
    ways: tuple[str, ...]
    foot_map: FootMap | None
    player: CountPlayer | None
    findings: tuple[Finding, ...] = ()


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
        charts=tuple(_table(chart, passages, figure, found.get(chart.pk, ())) for chart in charts),
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


def _table(
    chart: StepChart, passages: list[Passage], figure: Figure, findings: tuple[Finding, ...]
) -> ChartTable:
    danced = [passage for passage in passages if passage.chart_id == chart.pk]
    ways = tuple(passage.label for passage in danced if passage.label not in ("", chart.name))
    return ChartTable(
        chart=chart,
        rows=tuple(moments(chart, beats_per_bar=figure.dance.beats_per_bar)),
        ways=ways,
        foot_map=foot_map(chart, passages, figure.dance),
        player=count_player(chart, figure.dance),
        findings=findings,
    )
