"""A chart written as one, with what follows from it for the ways that dance it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from django.db import transaction

from curriculum import history
from curriculum.models import ChartStep, Figure, FloorRole, FloorUse, Hold, Passage, StepChart
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.problems import facings_of, passage_of, steps_of
from curriculum.rules.chart import Step, beats_of
from curriculum.rules.chart_exit import exit_of
from school.models import Person


@transaction.atomic
def save_chart(
    *,
    figure: Figure,
    chart: StepChart | None,
    version: int,
    name: str,
    note: str,
    leader: Sequence[Step],
    follower: Sequence[Step],
    passages: Collection[int],
    own_length: bool,
    by: Person,
) -> StepChart:
    """Write a chart whole; `chart` None makes a new one. Holds in the steps go by their names.

    passages: keys of the figure's passages that are danced so. own_length: they last as long as the chart,
    otherwise as long as the figure. Raises Overtaken where `version` is no longer the figure's.
    """
    with history.changing(figure.pk, by=by):
        history.take_turn(figure, version)
        chart = chart or StepChart(figure=figure)
        chart.name, chart.note = name, note
        chart.save()
        holds = {hold.name: hold for hold in Hold.objects.filter(dance=figure.dance_id)}
        _write_steps(chart, {FloorRole.LEADER: leader, FloorRole.FOLLOWER: follower}, holds)
        _assign(figure, chart, passages, own_length, leader)
    return chart


@transaction.atomic
def remove_chart(*, figure: Figure, chart: StepChart, version: int, by: Person) -> None:
    """Take a chart away; its ways stay, with the exits they had. The figure's history keeps it."""
    with history.changing(figure.pk, by=by):
        history.take_turn(figure, version)
        chart.delete()


def derive(passage: Passage, leader: Sequence[Step], holds: Sequence[Hold], *, slot: bool) -> None:
    """Set the exit's foot and place as they follow from the chart; what cannot be told stays as it is.

    A place that stays empty means that the couple stays where the passage began.
    """
    way = passage_of(passage)
    reached = exit_of(leader, entry=way.entry, hold=way.exit.hold, holds=facings_of(holds), slot=slot)
    passage.exit_foot = reached.foot or passage.exit_foot
    if reached.place is not None and (passage.exit_place is not None or reached.place != passage.entry_place):
        passage.exit_place = reached.place


def derive_all(figure: Figure) -> None:
    """Derive the exits of every passage of the figure that has a chart. Four queries and one a passage."""
    passages = figure.passages.filter(chart__isnull=False).select_related(
        "figure", "entry_hold", "exit_hold", "chart"
    )
    holds = list(Hold.objects.filter(dance=figure.dance_id))
    for passage in passages.prefetch_related("chart__steps__hold"):
        leader = steps_of(passage.chart.steps.all(), FloorRole.LEADER)
        derive(passage, leader, holds, slot=figure.dance.floor_use == FloorUse.SLOT)
        passage.save(update_fields=["exit_foot", "exit_place"])


def _write_steps(chart: StepChart, roles: Mapping[str, Sequence[Step]], holds: Mapping[str, Hold]) -> None:
    chart.steps.all().delete()
    ChartStep.objects.bulk_create(
        ChartStep(
            chart=chart,
            role=role,
            position=position,
            count=step.count,
            ticks=step.ticks,
            foot=step.foot or "",
            action=step.action,
            direction=step.direction,
            turn=step.turn,
            hold=None if step.hold is None else holds[step.hold],
            cue=step.cue,
        )
        for role, steps in roles.items()
        for position, step in enumerate(steps)
    )


def _assign(
    figure: Figure, chart: StepChart, chosen: Collection[int], own_length: bool, leader: Sequence[Step]
) -> None:
    holds = list(Hold.objects.filter(dance=figure.dance_id))
    slot = figure.dance.floor_use == FloorUse.SLOT
    ticks = int(beats_of(leader) * TICKS_PER_BEAT)
    for passage in figure.passages.select_related("figure", "entry_hold", "exit_hold"):
        if passage.pk in chosen:
            passage.chart = chart
            passage.ticks = ticks if own_length and ticks != figure.ticks else None
            derive(passage, leader, holds, slot=slot)
            passage.save()
        elif passage.chart_id == chart.pk:
            passage.chart = None
            passage.save(update_fields=["chart"])
