"""One thing of the file into the thing that stands (None: nothing stands). Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from curriculum.rules.naming import name_key
from curriculum.travel import values
from curriculum.travel.naming import laid_over, pair_in_order

NOWHERE = 1_000_000
"""A place no list reaches."""


def merge_hold(before: values.Hold | None, wanted: values.Hold) -> values.Hold:
    """The short key stays; free changes come together."""
    if before is None:
        return wanted
    into = {*before.turns_into, *wanted.turns_into}
    return replace(wanted, key=before.key, turns_into=tuple(sorted(into)))


def merge_rhythm(before: values.Rhythm | None, wanted: values.Rhythm) -> values.Rhythm:
    if before is None:
        return wanted
    return replace(wanted, source=wanted.source or before.source, counts=wanted.counts or before.counts)


def merge_figure(before: values.Figure | None, wanted: values.Figure) -> values.Figure:
    """Names, needs, faults, cautions, charts and passages come together; empty words stay as they stand.
    A figure known here by another main name keeps that as one of its names."""
    if before is None:
        return replace(wanted, other_names=_other_names(wanted.name, wanted.other_names))
    charts, chart_places = laid_over(
        wanted.charts, before.charts, _pairs_of_charts(wanted, before), _merge_chart
    )

    def passage(stands: values.Passage | None, asked: values.Passage) -> values.Passage:
        if asked.chart is not None and asked.chart < len(chart_places):
            return replace(asked, chart=chart_places[asked.chart])
        return replace(asked, chart=stands.chart) if stands and asked.chart is None else asked

    passages, _ = laid_over(wanted.passages, before.passages, _pairs_of_passages(wanted, before), passage)
    return replace(
        wanted,
        ticks=wanted.ticks if wanted.ticks or wanted.kind != before.kind else before.ticks,
        lead=wanted.lead or before.lead,
        response=wanted.response or before.response,
        notes=wanted.notes or before.notes,
        other_names=_other_names(wanted.name, (*before.names, *wanted.other_names)),
        needs=tuple(sorted(dict([*before.needs, *wanted.needs]).items())),
        extension=wanted.extension or before.extension,
        easier_form=wanted.easier_form or before.easier_form,
        open_form=wanted.open_form or before.open_form,
        faults=_laid_over_by_first(wanted.faults, before.faults),
        cautions=_with(before.cautions, wanted.cautions),
        charts=charts,
        passages=passages,
    )


def merge_routine(
    before: values.Routine | None, wanted: values.Routine, passages: Mapping[str, Sequence[int]]
) -> values.Routine:
    """`passages`: see passage_places. What is danced is the file's, whole."""
    danced = tuple(
        item and replace(item, passage=_at(passages.get(item.figure), item.passage)) for item in wanted.dances
    )
    if before is None:
        return replace(wanted, dances=danced)
    return replace(
        wanted,
        dances=danced or before.dances,
        note=wanted.note or before.note,
        continues=wanted.continues or before.continues,
    )


def passage_places(
    wanted: values.Dance, standing: values.Dance, pairs: Mapping[int, int]
) -> dict[str, tuple[int, ...]]:
    """Figures of the file -> for each passage of theirs its place among the figure's passages afterwards."""
    places = {}
    for place, figure in enumerate(wanted.figures):
        before = standing.figures[pairs[place]] if place in pairs else None
        stand = before.passages if before else ()
        found = _pairs_of_passages(figure, before) if before else {}
        _, places[figure.name] = laid_over(figure.passages, stand, found, lambda _, asked: asked)
    return places


def _at(places: Sequence[int] | None, place: int) -> int:
    """A place that is none stays none: the check afterwards says it."""
    if places is None:
        return place
    return places[place] if place < len(places) else NOWHERE


def _merge_chart(before: values.Chart | None, wanted: values.Chart) -> values.Chart:
    if before is None:
        return wanted
    return replace(
        wanted,
        note=wanted.note or before.note,
        leader=wanted.leader or before.leader,
        follower=wanted.follower or before.follower,
    )


def _pairs_of_charts(wanted: values.Figure, before: values.Figure) -> dict[int, int]:
    return pair_in_order((row.name for row in wanted.charts), (row.name for row in before.charts))


def _pairs_of_passages(wanted: values.Figure, before: values.Figure) -> dict[int, int]:
    return pair_in_order((row.label for row in wanted.passages), (row.label for row in before.passages))


def _other_names(main: str, names: Sequence[str]) -> tuple[str, ...]:
    """Each once, the main one left out."""
    once = {name_key(main): main}
    for name in names:
        once.setdefault(name_key(name), name)
    return tuple(once.values())[1:]


def _laid_over_by_first(
    wanted: Sequence[tuple[str, str]], before: Sequence[tuple[str, str]]
) -> tuple[tuple[str, str], ...]:
    pairs = pair_in_order((first for first, _ in wanted), (first for first, _ in before))
    return laid_over(wanted, before, pairs, lambda _, row: row)[0]


def _with(before: Sequence[str], wanted: Sequence[str]) -> tuple[str, ...]:
    return laid_over(wanted, before, pair_in_order(wanted, before), lambda _, text: text)[0]
