"""What changed between two versions of a figure, in words: a field with what it said before and after."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from curriculum.chart_table import turn_words
from curriculum.rules.alignment import DIRECTIONS_IN_FULL
from curriculum.rules.wording import FEET
from curriculum.snapshot import Snapshot
from curriculum.spreadsheet.cells import say_ticks

_ROLES: Final = {"L": "leader", "F": "follower"}
_PLAIN: Final = (
    ("name", "Name"),
    ("kind", "Kind"),
    ("minutes_to_introduce", "Minutes to introduce"),
    ("minutes_to_review", "Minutes to review"),
    ("in_a_row", "Danced how often in a row"),
    ("lead", "What leads it"),
    ("response", "What answers"),
    ("notes", "Notes"),
)
_NAMED: Final = (
    ("level", "Level"),
    ("extension", "Grows into"),
    ("easier_form", "An easier form"),
    ("open_form", "In an open hold"),
)


@dataclass(frozen=True)
class Change:
    """One field: what it said before and after; "" = nothing."""

    field: str
    before: str
    after: str


def changes_between(before: Snapshot, after: Snapshot, *, slot: bool) -> tuple[Change, ...]:
    """Everything that differs, in the order of a figure's page. slot: places are the ends of a slot.

    Needs, ways and charts are known by their keys, so that a new name alone is one change.
    """
    old, new = dict(_lines(before, slot)), dict(_lines(after, slot))
    changes = []
    for key in dict.fromkeys([*new, *old]):
        field = (new.get(key) or old[key])[0]
        texts = [lines[key][1] if key in lines else "" for lines in (old, new)]
        if texts[0] != texts[1]:
            changes.append(Change(field, *texts))
    return tuple(changes)


_Line = tuple[tuple[Any, ...], tuple[str, str]]
"""What a line is known by, and the line: the field's name and its text."""


def _lines(shot: Snapshot, slot: bool) -> Iterator[_Line]:
    for field, label in _PLAIN:
        yield (field,), (label, str(shot[field]))
    yield ("ticks",), ("Length", _beats(shot["ticks"]))
    yield ("other_names",), ("Other names", ", ".join(shot["other_names"]))
    for field, label in _NAMED:
        yield (field,), (label, _name(shot.get(field)))
    for fault, remedy in shot["faults"]:
        yield ("fault", fault), ("What goes wrong", f"{fault} → {remedy}")
    for text in shot["cautions"]:
        yield ("caution", text), ("Caution", text)
    for need in shot["needs"]:
        same = ", the same evening will do" if need["same_evening"] else ""
        yield ("need", need["pk"]), ("It needs", f"{need['name']}{same}")
    charts = {chart["pk"]: chart["name"] or "the chart" for chart in shot["charts"]}
    for passage in shot["passages"]:
        yield from _way_lines(passage, charts, slot)
    for chart in shot["charts"]:
        yield from _chart_lines(chart)


def _way_lines(passage: Snapshot, charts: Mapping[int, str], slot: bool) -> Iterator[_Line]:
    way = f"Way “{passage['label'] or 'the whole'}”"
    key = ("way", passage["pk"])
    yield key, (way, passage["label"] or "the whole")
    yield (*key, "ticks"), (f"{way}, length", _beats(passage["ticks"]) or "as the figure")
    for end, said in (("entry", "starts"), ("exit", "ends")):
        stance = [_name(passage[f"{end}_hold"])]
        foot = FEET.get(passage[f"{end}_foot"])
        stance += [f"{foot} foot free"] if foot else []
        stance += [_place(passage[f"{end}_place"], slot)]
        yield (*key, end), (f"{way} {said}", "; ".join(part for part in stance if part) or "open")
    yield (*key, "give"), (f"{way}, may be turned more or less", f"{passage['give']} eighths")
    danced = charts.get(passage["chart"], "a chart") if passage["chart"] is not None else ""
    yield (*key, "chart"), (f"{way}, danced by", danced)


def _chart_lines(chart: Snapshot) -> Iterator[_Line]:
    said = f"Chart “{chart['name'] or 'without a name'}”"
    key = ("chart", chart["pk"])
    yield key, (said, chart["name"] or "without a name")
    yield (*key, "note"), (f"{said}, note", chart["note"])
    for step in chart["steps"]:
        where = f"{said}, {_ROLES[step['role']]}, row {step['position'] + 1}"
        yield (*key, step["role"], step["position"]), (where, _step(step))


def _step(step: Snapshot) -> str:
    """e.g. "& (6 ticks): R lock behind, ¼ to the right, into promenade, “small”"."""
    done = " ".join(word for word in (step["foot"], step["action"], step["direction"]) if word)
    parts = [done, turn_words(step["turn"])]
    parts += [f"into {step['hold']['name']}"] if step["hold"] else []
    parts += [f"“{step['cue']}”"] if step["cue"] else []
    return f"{step['count']} ({step['ticks']} ticks): {', '.join(part for part in parts if part)}"


def _name(named: Snapshot | None) -> str:
    return "" if named is None else str(named["name"])


def _beats(ticks: int | None) -> str:
    return "" if ticks is None else f"{say_ticks(ticks)} beat{'' if ticks == 12 else 's'}"


def _place(place: int | None, slot: bool) -> str:
    if place is None:
        return ""
    return f"follower at end {place}" if slot else f"facing {DIRECTIONS_IN_FULL[place]}"
