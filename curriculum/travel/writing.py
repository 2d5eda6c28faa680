"""Values into the file. What is empty is left out; what has a value is written, also the usual one."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from curriculum.travel.json_text import write_json
from curriculum.travel.reading import FORMAT, VERSION
from curriculum.travel.values import Chart, Curriculum, Dance, Figure, Hold, Passage, Rhythm, Routine, Step


def write_file(curriculum: Curriculum) -> bytes:
    """The file: the same bytes for the same curriculum."""
    return write_json({FORMAT: VERSION, "dances": [_dance(dance) for dance in curriculum.dances]})


def _filled(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Without what says nothing: None, an empty text or list, a switch that is off. A nought stays."""
    return {name: value for name, value in fields.items() if value or _is_number(value)}


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _dance(dance: Dance) -> dict[str, Any]:
    return _filled(
        {
            "name": dance.name,
            "beats_per_bar": dance.beats_per_bar,
            "beat_unit": dance.beat_unit,
            "bars_per_phrase": dance.bars_per_phrase,
            "slowest_bars_per_minute": _number(dance.slowest_bars_per_minute),
            "quickest_bars_per_minute": _number(dance.quickest_bars_per_minute),
            "floor_use": dance.floor_use,
            "note": dance.note,
            "levels": [{"name": level.name, "most_new": level.most_new} for level in dance.levels],
            "holds": [_hold(hold) for hold in dance.holds],
            "rhythms": [_rhythm(rhythm) for rhythm in dance.rhythms],
            "figures": [_figure(figure) for figure in dance.figures],
            "routines": [_routine(routine) for routine in dance.routines],
        }
    )


def _number(number: Decimal | None) -> int | float | None:
    if number is None:
        return None
    return int(number) if number == int(number) else float(number)


def _hold(hold: Hold) -> dict[str, Any]:
    return _filled(
        {
            "name": hold.name,
            "key": hold.key,
            "facing": hold.facing,
            "same_foot": hold.same_foot,
            "turns_into": list(hold.turns_into),
        }
    )


def _rhythm(rhythm: Rhythm) -> dict[str, Any]:
    return _filled(
        {
            "name": rhythm.name,
            "begins_on_beat": rhythm.begins_on_beat,
            "source": rhythm.source,
            "counts": [{"count": count, "ticks": ticks} for count, ticks in rhythm.counts],
        }
    )


def _figure(figure: Figure) -> dict[str, Any]:
    return _filled(
        {
            "name": figure.name,
            "level": figure.level,
            "kind": figure.kind,
            "ticks": figure.ticks,
            "minutes_to_introduce": figure.minutes_to_introduce,
            "minutes_to_review": figure.minutes_to_review,
            "in_a_row": figure.in_a_row,
            "lead": figure.lead,
            "response": figure.response,
            "notes": figure.notes,
            "other_names": list(figure.other_names),
            "needs": [name for name, together in figure.needs if not together],
            "needs_by_the_same_evening": [name for name, together in figure.needs if together],
            "extension": figure.extension,
            "easier_form": figure.easier_form,
            "open_form": figure.open_form,
            "faults": [{"fault": fault, "remedy": remedy} for fault, remedy in figure.faults],
            "cautions": list(figure.cautions),
            "charts": [_chart(chart) for chart in figure.charts],
            "passages": [_passage(passage) for passage in figure.passages],
        }
    )


def _chart(chart: Chart) -> dict[str, Any]:
    return _filled(
        {
            "name": chart.name,
            "note": chart.note,
            "leader": [_step(step) for step in chart.leader],
            "follower": [_step(step) for step in chart.follower],
        }
    )


def _step(step: Step) -> dict[str, Any]:
    return _filled(
        {
            "count": step.count,
            "ticks": step.ticks,
            "action": step.action,
            "foot": step.foot,
            "direction": step.direction,
            "turn": step.turn or None,
            "hold": step.hold,
            "cue": step.cue,
        }
    )


def _passage(passage: Passage) -> dict[str, Any]:
    return _filled(
        {
            "label": passage.label,
            "ticks": passage.ticks,
            "from": _filled(
                {"hold": passage.entry_hold, "foot": passage.entry_foot, "place": passage.entry_place}
            ),
            "to": _filled(
                {"hold": passage.exit_hold, "foot": passage.exit_foot, "place": passage.exit_place}
            ),
            "give": passage.give or None,
            "chart": None if passage.chart is None else passage.chart + 1,
        }
    )


def _routine(routine: Routine) -> dict[str, Any]:
    before = routine.continues
    return _filled(
        {
            "name": routine.name,
            "level": routine.level,
            "note": routine.note,
            "continues": {"level": before[0], "name": before[1]} if before else None,
            "dances": [
                {"corner": True}
                if danced is None
                else {"figure": danced.figure, "passage": danced.passage + 1}
                for danced in routine.dances
            ],
        }
    )
