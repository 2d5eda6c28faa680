"""A thing's fields as lines of text, so that two states of it can be compared and shown. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from curriculum.spreadsheet.cells import say_ticks
from curriculum.travel import values

Said = dict[str, Sequence[str]]
"""A thing's fields, each as lines."""


def say_dance(dance: values.Dance | None) -> Said:
    if dance is None:
        return {}
    said = _plain(dance, "name beats_per_bar beat_unit bars_per_phrase floor_use note")
    for name in ("slowest_bars_per_minute", "quickest_bars_per_minute"):
        number = getattr(dance, name)
        said[name] = () if number is None else (f"{number:.1f}",)
    return said


def say(row: Any, name: str = "") -> Said:
    """`name`: as it is called now, where that is another name than afterwards."""
    said = _SAY[type(row)](row)
    return said | {"name": (name,)} if name else said


def _plain(row: Any, names: str) -> Said:
    said: Said = {}
    for name in names.split():
        value = getattr(row, name)
        said[name] = () if value in (None, "") else str(value).splitlines()
    return said


def _say_level(row: values.Level) -> Said:
    return _plain(row, "name most_new")


def _say_hold(row: values.Hold) -> Said:
    facing = ("free",) if row.facing is None else (f"{row.facing} eighths",)
    same = ("yes" if row.same_foot else "no",)
    return _plain(row, "name") | {"facing": facing, "same_foot": same, "turns_into": row.turns_into}


def _say_rhythm(row: values.Rhythm) -> Said:
    counts = [f"{count} for {_beats(ticks)}" for count, ticks in row.counts]
    return _plain(row, "name begins_on_beat source") | {"counts": counts}


def _say_figure(row: values.Figure) -> Said:
    words = "name level kind minutes_to_introduce minutes_to_review in_a_row lead response notes"
    said = _plain(row, words + " extension easier_form open_form")
    said["beats"] = () if row.ticks is None else (say_ticks(row.ticks),)
    said["other_names"] = row.other_names
    said["needs"] = [f"{name}, the same evening will do" if soon else name for name, soon in row.needs]
    said["faults"] = [f"{fault} → {remedy}" for fault, remedy in row.faults]
    said["cautions"] = row.cautions
    said["passages"] = [_say_passage(passage) for passage in row.passages]
    for number, chart in enumerate(row.charts, start=1):
        said[f"chart {number}"] = _say_chart(chart)
    return said


def _say_passage(row: values.Passage) -> str:
    start = _say_stance(row.entry_hold, row.entry_foot, row.entry_place)
    end = _say_stance(row.exit_hold, row.exit_foot, row.exit_place)
    parts = [row.label, f"from {start} to {end}"]
    parts += [f"{_beats(row.ticks)}"] if row.ticks else []
    parts += [f"give {row.give}"] if row.give else []
    parts += [f"chart {row.chart + 1}"] if row.chart is not None else []
    return ", ".join(filter(None, parts))


def _say_stance(hold: str | None, foot: str, place: int | None) -> str:
    where = [] if place is None else [f"place {place}"]
    return " ".join([hold or "any hold", f"{foot} free" if foot else "either foot", *where])


def _say_chart(row: values.Chart) -> list[str]:
    head = [f"called {row.name}"] if row.name else []
    return [
        *head,
        *row.note.splitlines(),
        *_say_steps("leader", row.leader),
        *_say_steps("follower", row.follower),
    ]


def _say_steps(role: str, steps: Sequence[values.Step]) -> list[str]:
    said = []
    for number, step in enumerate(steps, start=1):
        words = [step.foot, step.action, step.direction]
        words += [f"turn {step.turn:+}"] if step.turn else []
        words += [f"into {step.hold}"] if step.hold else []
        words += [f"“{step.cue}”"] if step.cue else []
        done = " ".join(filter(None, words))
        said.append(f"{role} {number}: {step.count} for {_beats(step.ticks)}, {done}")
    return said


def _say_routine(row: values.Routine) -> Said:
    said = _plain(row, "name level note")
    said["continues"] = [f"{row.continues[1]}, {row.continues[0]}"] if row.continues else ()
    said["dances"] = [
        "corner" if item is None else f"{item.figure}, passage {item.passage + 1}" for item in row.dances
    ]
    return said


def _beats(ticks: int) -> str:
    return f"{say_ticks(ticks)} beat{'s' if ticks > 12 else ''}"


_SAY: dict[type, Any] = {
    values.Level: _say_level,
    values.Hold: _say_hold,
    values.Rhythm: _say_rhythm,
    values.Figure: _say_figure,
    values.Routine: _say_routine,
}
