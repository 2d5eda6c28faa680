"""A dance of the file into the dance that stands: what it is afterwards. Pure.

What the file says counts, what it leaves out stays, nothing is deleted: lists of things with a name grow
together; a thing's own row of values (a chart's steps, a rhythm's counts, a routine) is the file's.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, TypeVar

from curriculum.rules.naming import name_key
from curriculum.travel import values
from curriculum.travel.merge_parts import (
    merge_figure,
    merge_hold,
    merge_rhythm,
    merge_routine,
    passage_places,
)
from curriculum.travel.merged import Merged, MergedDance
from curriculum.travel.naming import each_once, in_order, laid_over, pair_by_name
from curriculum.travel.speaking import Names, speak_of
from curriculum.travel.values import Mistake
from curriculum.travel.whole_checks import check_dance

Value = TypeVar("Value", values.Level, values.Hold, values.Rhythm, values.Figure, values.Routine)


def merge_curriculum(
    wanted: values.Curriculum, standing: values.Curriculum, mistakes: list[Mistake]
) -> tuple[MergedDance, ...]:
    """Every dance of the file merged into the one of its name. Mistakes are added to `mistakes`."""
    dances, twice = each_once(wanted.dances, lambda dance: name_key(dance.name), lambda dance: dance.name)
    mistakes.extend(Mistake(name, "this dance stands in the file twice") for name in twice)
    stands = {name_key(dance.name): dance for dance in reversed(standing.dances)}
    return tuple(merge_dance(dance, stands.get(name_key(dance.name)), mistakes) for dance in dances)


def merge_dance(wanted: values.Dance, before: values.Dance | None, mistakes: list[Mistake]) -> MergedDance:
    """One dance. Whatever the file names must be there afterwards, in the file or in the school."""
    standing = before or values.Dance(wanted.name)
    wanted = _each_thing_once(wanted, mistakes)
    pairs = {
        kind: pair_by_name(*([names_of(row) for row in getattr(dance, kind)] for dance in (wanted, standing)))
        for kind, names_of in _NAMES.items()
    }
    names = _names_afterwards(wanted, standing, pairs, mistakes)
    ladder = _ladder(wanted, standing, names, mistakes)
    wanted, renamed = speak_of(wanted, names), speak_of(standing, names)

    def merged(kind: str, merge: Callable[[Any, Any], Any]) -> tuple[Merged[Any], ...]:
        return _merged(kind, wanted, renamed, standing, pairs[kind], merge)

    figures = merged("figures", merge_figure)
    passages = passage_places(wanted, renamed, pairs["figures"])
    result = MergedDance(
        value=_own_fields(wanted, before),
        before=before,
        levels=tuple(sorted(merged("levels", _take), key=lambda row: ladder.index(row.value.name))),
        holds=merged("holds", merge_hold),
        rhythms=merged("rhythms", merge_rhythm),
        figures=_in_teaching_order(figures, wanted, ladder),
        routines=merged("routines", lambda stands, row: merge_routine(stands, row, passages)),
    )
    check_dance(result, mistakes)
    return result


_NAMES: dict[str, Callable[[Any], tuple[str, ...]]] = {
    "levels": lambda level: (level.name,),
    "holds": lambda hold: (hold.name, f"key {hold.key}"),
    "rhythms": lambda rhythm: (rhythm.name,),
    "figures": lambda figure: figure.names,
    "routines": lambda routine: (f"{routine.level}: {routine.name}",),
}


def _each_thing_once(wanted: values.Dance, mistakes: list[Mistake]) -> values.Dance:
    once: dict[str, Any] = {}
    for kind, names_of in _NAMES.items():
        once[kind], twice = each_once(
            getattr(wanted, kind), lambda row, of=names_of: name_key(of(row)[0]), lambda row: row.name
        )
        for name in twice:
            mistakes.append(Mistake(f"{wanted.name}, {kind}", f"“{name}” stands in the file twice"))
    return replace(wanted, **once)


def _names_afterwards(
    wanted: values.Dance,
    standing: values.Dance,
    pairs: Mapping[str, Mapping[int, int]],
    mistakes: list[Mistake],
) -> Names:
    """Every name there is afterwards, and those that stand now, each leading to the name of afterwards."""
    names = Names.of(wanted.name, mistakes)
    for kind, lookup in names.by_kind.items():
        rows, stand = getattr(wanted, kind), getattr(standing, kind)
        for row in rows:
            lookup.add(row.name, [row.name])
        mains = {other: rows[place].name for place, other in pairs[kind].items()}
        for place, row in enumerate(stand):
            lookup.add(mains.get(place, row.name), getattr(row, "names", (row.name,)))
        for row in rows:
            lookup.add(row.name, getattr(row, "names", ()))
    return names


def _ladder(
    wanted: values.Dance, standing: values.Dance, names: Names, mistakes: list[Mistake]
) -> tuple[str, ...]:
    """The levels afterwards, from the lowest up."""
    asked = [level.name for level in wanted.levels]
    stand = [names.levels.names[name_key(level.name)] for level in standing.levels]
    shared = [name for name in asked if name in stand]
    for lower, higher in pairwise(shared):
        if stand.index(lower) > stand.index(higher):
            sentence = f"“{lower}” comes before “{higher}” in the file and after it here"
            mistakes.append(Mistake(f"{wanted.name}, levels", sentence))
    return in_order(asked, stand)


def _merged(
    kind: str,
    wanted: values.Dance,
    renamed: values.Dance,
    standing: values.Dance,
    pairs: Mapping[int, int],
    merge: Callable[[Any, Any], Any],
) -> tuple[Merged[Any], ...]:
    before, now = getattr(renamed, kind), getattr(standing, kind)
    rows, _ = laid_over(getattr(wanted, kind), before, pairs, merge)
    spoken_of = set(pairs.values())
    return tuple(
        Merged(row, before[place], now[place].name, place in spoken_of) if place < len(now) else Merged(row)
        for place, row in enumerate(rows)
    )


def _take(before: Value | None, wanted: Value) -> Value:
    return wanted


def _own_fields(wanted: values.Dance, before: values.Dance | None) -> values.Dance:
    """The dance's own row: tempo range and note stay where the file has none."""
    if before is None:
        return wanted
    return replace(
        wanted,
        slowest_bars_per_minute=_or(wanted.slowest_bars_per_minute, before.slowest_bars_per_minute),
        quickest_bars_per_minute=_or(wanted.quickest_bars_per_minute, before.quickest_bars_per_minute),
        note=wanted.note or before.note,
    )


def _or(wanted: Any, before: Any) -> Any:
    return before if wanted is None else wanted


def _in_teaching_order(
    figures: tuple[Merged[values.Figure], ...], wanted: values.Dance, ladder: tuple[str, ...]
) -> tuple[Merged[values.Figure], ...]:
    """By level; on a level new figures, and those that come from another level, find their place among
    those that stay."""
    by_name = {row.value.name: row for row in figures}
    stay: dict[str, list[str]] = defaultdict(list)
    asked: dict[str, list[str]] = defaultdict(list)
    for row in figures:
        if row.before is not None and row.before.level == row.value.level:
            stay[row.value.level].append(row.value.name)
    for figure in wanted.figures:
        asked[figure.level].append(figure.name)
    levels = dict.fromkeys([*ladder, *asked])
    return tuple(by_name[name] for level in levels for name in in_order(asked[level], stay[level]))
