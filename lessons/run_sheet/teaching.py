"""What an instructor needs beside a segment's minutes: a new figure's teaching order, and the music."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from django.db.models import Prefetch, prefetch_related_objects

from curriculum.chart_table import Moment, turn_words
from curriculum.models import ChartStep, Dance, Figure, Passage
from lessons.evening.cover_page import CoverChart
from lessons.evening.tonight import NEW
from lessons.rules.music import SLOW_AND_TEMPO, Tempo, TempoRange, count_in, music_said, tempi_of
from lessons.rules.teaching_order import Notes, OrderStep, teaching_order
from lessons.run_sheet.rows import RunSheet

_FEET = {"L": "left", "R": "right"}


def orders_of(
    sheet: RunSheet, charts: Mapping[int, CoverChart], dance: TempoRange | None
) -> dict[int, tuple[OrderStep, ...]]:
    """Figure (pk) -> its teaching order in the minutes it has tonight, for what is new. One query, or none.

    charts: figure (pk) -> its chart. A part of a figure is taught in the same order as a whole.
    """
    new = [row for row in sheet.rows if row.kind == NEW and row.figure]
    figures = [row.figure for row in new if row.figure]
    if not figures:
        return {}
    held = Passage.objects.select_related("entry_hold", "exit_hold").order_by("position")
    prefetch_related_objects(figures, Prefetch("passages", held))
    return {
        row.figure.pk: teaching_order(notes_of(row.figure, charts.get(row.figure.pk), dance), row.minutes)
        for row in new
        if row.figure
    }


def tempo_range(dance: Dance) -> TempoRange | None:
    """None for a dance of which no tempo is written down. One query, or none."""
    slowest, quickest = dance.slowest_bars_per_minute, dance.quickest_bars_per_minute
    if not slowest or not quickest:
        return None
    begins = dance.rhythms.order_by("begins_on_beat").values_list("begins_on_beat", flat=True).first() or 1
    return TempoRange(
        Fraction(slowest), Fraction(quickest), dance.beats_per_bar, min(begins, dance.beats_per_bar)
    )


def music_of(dance: TempoRange | None, *, also_new: bool = False) -> dict[str, str]:
    """Kind of segment -> what to say of its music. What is new says it in its teaching order; `also_new`
    where none is shown."""
    if dance is None:
        return {}
    return {kind: music_said(kind, dance) for kind in SLOW_AND_TEMPO if also_new or kind != NEW}


def notes_of(figure: Figure, chart: CoverChart | None, dance: TempoRange | None) -> Notes:
    """Reads the figure's faults and passages with their holds: fetch them."""
    rows = chart.rows if chart else ()
    slow, tempo = tempi_of(NEW, dance) if dance else (None, None)
    return Notes(
        is_technique=figure.is_technique,
        leader=_part([row.leader for row in rows]),
        follower=_part([row.follower for row in rows]),
        counts=_counts(rows),
        hold=_hold(list(figure.passages.all()), rows),
        lead=figure.lead,
        response=figure.response,
        slow=_music(slow, dance),
        at_tempo=_music(tempo, None),
        faults=tuple((fault.fault, fault.remedy) for fault in figure.faults.all()),
        notes=figure.notes,
    )


def _part(steps: Iterable[ChartStep | None]) -> str:
    """ "Begins on the left foot; ¾ to the right in all."; nothing without a chart."""
    danced = [step for step in steps if step is not None]
    foot = next((_FEET[step.foot] for step in danced if step.foot), "")
    turn = turn_words(sum(step.turn for step in danced))
    said = [f"Begins on the {foot} foot" if foot else "", f"{turn} in all" if turn else ""]
    return f"{'; '.join(filter(None, said))}." if any(said) else ""


def _counts(rows: Sequence[Moment]) -> str:
    """The counts bar by bar: "1 2 3, 4 5 6"."""
    bars: list[list[str]] = []
    for row in rows:
        if row.mark == "bar" or not bars:
            bars.append([])
        bars[-1].append(row.count)
    return ", ".join(" ".join(bar) for bar in bars)


def _hold(passages: Sequence[Passage], rows: Sequence[Moment]) -> str:
    if not passages:
        return ""
    first = passages[0]
    start = first.entry_hold.name if first.entry_hold else "any hold"
    end = first.exit_hold.name if first.exit_hold else start
    said = f"In {start}" if start == end else f"From {start} to {end}"
    changes = [f"{row.hold} on {row.count}" for row in rows if row.hold]
    return f"{said}: {', '.join(changes)}." if changes else f"{said}."


def _music(tempo: Tempo | None, counted: TempoRange | None) -> str:
    """counted: where the count-in is to be said too."""
    if tempo is None:
        return ""
    said = f"{tempo.said[:1].upper()}{tempo.said[1:]}."
    return f"{said} Count in {count_in(counted)}." if counted else said
