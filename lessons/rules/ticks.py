"""Where a figure comes again once it is new in another lesson: what was ticked stays where it may."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise


def kept_ticks(
    ticked: Sequence[int], dues: Sequence[int], *, slack: int, after: int, spared: int = 0
) -> tuple[tuple[int, int], ...]:
    """Pairs (lesson, due lesson), in order: as many ticked lessons as lie beyond lesson `after` and within
    `slack` of a due one, each for another, in order; the dues left open are met where they fall.

    `spared`: how many reviews that were owed the director did without; so many are not added now. Lessons
    are indices; `dues` rise.
    """
    pairs = list(_matched(sorted(tick for tick in ticked if tick > after), dues, slack))
    for due in dues:
        if len(pairs) < len(dues) - spared and due not in {taken for _, taken in pairs}:
            pairs = _with(pairs, due)
    return tuple(pairs)


def _matched(ticked: Sequence[int], dues: Sequence[int], slack: int) -> tuple[tuple[int, int], ...]:
    """The most ticks that each answer a due of their own, in order; of those the nearest."""
    for count in range(min(len(ticked), len(dues)), 0, -1):
        fitting = [
            tuple(zip(lessons, taken, strict=True))
            for lessons in combinations(ticked, count)
            for taken in combinations(dues, count)
            if all(abs(lesson - due) <= slack for lesson, due in zip(lessons, taken, strict=True))
        ]
        if fitting:
            return min(fitting, key=lambda pairs: sum(abs(lesson - due) for lesson, due in pairs))
    return ()


def _with(pairs: list[tuple[int, int]], due: int) -> list[tuple[int, int]]:
    """The pairs and one more in its due lesson, if they then still lie in order and apart."""
    more = sorted([*pairs, (due, due)], key=lambda pair: pair[1])
    in_order = all(earlier[0] < later[0] for earlier, later in pairwise(more))
    return more if in_order else pairs
