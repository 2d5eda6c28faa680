"""Which name of the file means what in the school. Pure.

Names are one where `name_key` makes them one. A thing of the file is the standing one of that name; failing
that, the one that shares another name with it and that nothing else in the file speaks of.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from typing import TypeVar

from curriculum.rules.naming import name_key
from curriculum.spreadsheet.cells import did_you_mean
from curriculum.travel.values import Mistake

Value = TypeVar("Value")
Names = Sequence[str]


def pair_by_name(wanted: Sequence[Names], standing: Sequence[Names]) -> dict[int, int]:
    """Places in `wanted` -> places in `standing` of the same thing. Of a thing's names the first is its
    main one."""
    mains = {name_key(names[0]): place for place, names in enumerate(standing)}
    pairs = {place: mains[key] for place, names in enumerate(wanted) if (key := name_key(names[0])) in mains}
    taken = set(pairs.values())
    anywhere: dict[str, int] = {}
    for place, names in enumerate(standing):
        for name in names:
            anywhere.setdefault(name_key(name), place)
    for place, names in enumerate(wanted):
        if place in pairs:
            continue
        shared = (anywhere.get(name_key(name)) for name in names)
        found = next((other for other in shared if other is not None and other not in taken), None)
        if found is not None:
            pairs[place] = found
            taken.add(found)
    return pairs


def pair_in_order(wanted: Iterable[Hashable], standing: Iterable[Hashable]) -> dict[int, int]:
    """The same for things whose label need not be the only one: the first of a label is the first of it."""
    waiting: dict[Hashable, list[int]] = defaultdict(list)
    for place, label in enumerate(standing):
        waiting[label].append(place)
    pairs = {}
    for place, label in enumerate(wanted):
        if waiting[label]:
            pairs[place] = waiting[label].pop(0)
    return pairs


def laid_over(
    wanted: Sequence[Value],
    standing: Sequence[Value],
    pairs: Mapping[int, int],
    merge: Callable[[Value | None, Value], Value],
) -> tuple[tuple[Value, ...], tuple[int, ...]]:
    """What stands, each merged with what is wanted of it, then what is new; and where each wanted one is."""
    merged = list(standing)
    places = []
    for place, value in enumerate(wanted):
        if place in pairs:
            merged[pairs[place]] = merge(standing[pairs[place]], value)
            places.append(pairs[place])
        else:
            places.append(len(merged))
            merged.append(merge(None, value))
    return tuple(merged), tuple(places)


def in_order(wanted: Sequence[str], standing: Sequence[str]) -> tuple[str, ...]:
    """What stands in its order, and each new one behind the one before it in `wanted`; with none before it,
    ahead of those that stand in `wanted` too, else last."""
    ordered = list(standing)
    before: str | None = None
    for place, name in enumerate(wanted):
        if name not in ordered:
            after = next((other for other in wanted[place:] if other in ordered), None)
            if before is not None:
                ordered.insert(ordered.index(before) + 1, name)
            elif after is not None:
                ordered.insert(ordered.index(after), name)
            else:
                ordered.append(name)
        before = name
    return tuple(ordered)


def each_once(
    wanted: Sequence[Value], key: Callable[[Value], Hashable], said: Callable[[Value], str]
) -> tuple[tuple[Value, ...], tuple[str, ...]]:
    """Without what has the name of an earlier one; and what was left out, as it is said."""
    found: dict[Hashable, Value] = {}
    twice = []
    for value in wanted:
        if found.setdefault(key(value), value) is not value:
            twice.append(said(value))
    return tuple(found.values()), tuple(twice)


class Lookup:
    """The names of one kind of thing in a dance afterwards -> the main name."""

    def __init__(self, kind: str, dance: str, mistakes: list[Mistake], most_hints: int = 200) -> None:
        self.kind = kind
        self.dance = dance
        self.mistakes = mistakes
        self.names: dict[str, str] = {}
        self.most_hints = most_hints

    def add(self, main: str, names: Iterable[str]) -> None:
        """The first to have a name keeps it."""
        for name in names:
            self.names.setdefault(name_key(name), main)

    def find(self, name: str, place: str) -> str | None:
        """The main name of what is called so, or None with a mistake at `place`."""
        found = self.names.get(name_key(name))
        if found is None and name:
            meant = None
            if len(self.mistakes) < self.most_hints:
                meant = did_you_mean(name, dict.fromkeys(self.names.values()))
            hint = f"; did you mean “{meant}”?" if meant else ""
            self.mistakes.append(Mistake(place, f"there is no {self.kind} “{name}” in {self.dance}{hint}"))
        return found
