"""The graph of prerequisites: what must be taught before what.

`needs` maps every figure's key to the keys it names as prerequisites, itself not worked out any further.
A key that is named but not in the mapping is a figure without needs. Order is that of the mapping wherever
nothing else decides, so equal input gives an equal answer.
"""

import heapq
from collections import deque
from collections.abc import Mapping, Sequence
from typing import TypeVar

Key = TypeVar("Key", str, int)
Needs = Mapping[Key, frozenset[Key]]


class CircleError(ValueError):
    """Figures that need each other in a circle; `circle` as find_circle gives it."""

    def __init__(self, circle: tuple[str | int, ...]) -> None:
        super().__init__(f"There is a circle: {circle_sentence([str(key) for key in circle])}.")
        self.circle = circle


def find_circle(needs: Needs[Key]) -> tuple[Key, ...] | None:
    """A shortest circle, each figure needing the next and the last the first; None if there is none.

    It begins with the first of its figures in the mapping's order.
    """
    entangled = _entangled(needs)
    shortest: tuple[Key, ...] | None = None
    for key in _in_order(needs):
        if key in entangled:
            circle = circle_through(needs, key)
            if circle is not None and (shortest is None or len(circle) < len(shortest)):
                shortest = circle
    return shortest


def circle_through(needs: Needs[Key], key: Key) -> tuple[Key, ...] | None:
    """A shortest circle that begins with `key`; None if it stands in none.

    Ask this of the figure whose prerequisites are being changed: the sentence then begins with it.
    """
    places = _places(needs)
    came_from: dict[Key, Key] = {}
    waiting = deque([key])
    while waiting:
        current = waiting.popleft()
        for need in _sorted(needs.get(current, frozenset()), places):
            if need == key:
                return _path(came_from, key, current)
            if need not in came_from:
                came_from[need] = current
                waiting.append(need)
    return None


def circle_sentence(names: Sequence[str]) -> str:
    """The circle in words: "fan needs alemana, which needs fan"; one alone "needs itself"."""
    first, *others = names
    if not others:
        return f"{first} needs itself"
    links = [f"which needs {name}" for name in (*others[1:], first)]
    return ", ".join([f"{first} needs {others[0]}", *links])


def teaching_order(needs: Needs[Key], ranks: Mapping[Key, tuple[int, ...]]) -> tuple[Key, ...]:
    """All figures, each after everything it needs, otherwise by rank: (level's order, figure's order).

    Of the figures that may come next the one of least rank does, so an order that is sound already stays. A
    figure without a rank comes behind those that have one. CircleError if there is a circle.
    """
    places = _places(needs)
    opens = _opened_by(needs)
    missing = {key: len(needs.get(key, frozenset())) for key in places}

    def entry(key: Key) -> tuple[bool, tuple[int, ...], int, Key]:
        return (key not in ranks, tuple(ranks.get(key, ())), places[key], key)

    ready = [entry(key) for key, count in missing.items() if not count]
    heapq.heapify(ready)
    ordered: list[Key] = []
    while ready:
        key = heapq.heappop(ready)[-1]
        ordered.append(key)
        for opened in opens[key]:
            missing[opened] -= 1
            if not missing[opened]:
                heapq.heappush(ready, entry(opened))
    _refuse_circle(needs, len(ordered))
    return tuple(ordered)


def needed_by(needs: Needs[Key], key: Key) -> frozenset[Key]:
    """Everything that must be taught before `key`: its needs, their needs, and so on.

    In a circle that includes the figure itself.
    """
    return _reached(needs, needs.get(key, frozenset()))


def opens(needs: Needs[Key], key: Key) -> tuple[Key, ...]:
    """The figures that name `key` as a prerequisite, in the mapping's order: what it opens the way to."""
    return tuple(figure for figure, wanted in needs.items() if key in wanted)


def arrows_worth_drawing(needs: Needs[Key]) -> frozenset[tuple[Key, Key]]:
    """Arrows (needed, needing) that say something: those not implied by others (transitive reduction).

    CircleError if there is a circle, for then there is no telling which arrow says less.
    """
    order = teaching_order(needs, {})
    before: dict[Key, frozenset[Key]] = {}
    for key in order:
        wanted = needs.get(key, frozenset())
        before[key] = wanted.union(*(before[need] for need in wanted))
    return frozenset(
        (need, key)
        for key, wanted in needs.items()
        for need in wanted
        if not any(need in before[other] for other in wanted)
    )


def _in_order(needs: Needs[Key]) -> list[Key]:
    """Every figure: those of the mapping in its order, then those only named, sorted."""
    only_named = {need for wanted in needs.values() for need in wanted if need not in needs}
    return list(needs) + sorted(only_named)


def _places(needs: Needs[Key]) -> dict[Key, int]:
    return {key: place for place, key in enumerate(_in_order(needs))}


def _sorted(keys: frozenset[Key], places: Mapping[Key, int]) -> list[Key]:
    return sorted(keys, key=places.__getitem__)


def _opened_by(needs: Needs[Key]) -> dict[Key, list[Key]]:
    opened: dict[Key, list[Key]] = {key: [] for key in _in_order(needs)}
    for key, wanted in needs.items():
        for need in wanted:
            opened[need].append(key)
    return opened


def _entangled(needs: Needs[Key]) -> frozenset[Key]:
    """What is left when figures without open needs are taken away again and again: all circles are in it."""
    opened = _opened_by(needs)
    missing = {key: len(needs.get(key, frozenset())) for key in opened}
    free = [key for key, count in missing.items() if not count]
    while free:
        for key in opened[free.pop()]:
            missing[key] -= 1
            if not missing[key]:
                free.append(key)
    return frozenset(key for key, count in missing.items() if count)


def _path(came_from: Mapping[Key, Key], start: Key, end: Key) -> tuple[Key, ...]:
    path = [end]
    while path[-1] != start:
        path.append(came_from[path[-1]])
    return tuple(reversed(path))


def _reached(needs: Needs[Key], start: frozenset[Key]) -> frozenset[Key]:
    reached = set(start)
    waiting = list(start)
    while waiting:
        for need in needs.get(waiting.pop(), frozenset()):
            if need not in reached:
                reached.add(need)
                waiting.append(need)
    return frozenset(reached)


def _refuse_circle(needs: Needs[Key], ordered: int) -> None:
    if ordered < len(_places(needs)):
        circle = find_circle(needs)
        if circle is not None:
            raise CircleError(circle)
