"""A routine made better bit by bit: a part of it is taken out and composed anew, again and again.

What stands elsewhere counts as danced already. A part that costs the same is taken as well, so that the
routine changes and another part may then become better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from curriculum.rules.compose_bound import SCALE, Bound, Scale
from curriculum.rules.compose_moves import Moves
from curriculum.rules.compose_search import Search

_PART: Final = (6, 18)
"""Runs of a part, at least and less than."""
_WIDTH: Final = 30
_ROUNDS: Final = 40


@dataclass(frozen=True)
class Setting:
    """What stays the same while a routine is made better."""

    places: Moves
    moves: Moves
    scale: Scale
    prices: Sequence[int]
    required: frozenset[int]


def cost_of(row: Sequence[int], moves: Moves, scale: Scale) -> int:
    """What a row of moves costs, in whole costs; corners (-1) cost nothing."""
    figures = [int(moves.figure[move]) for move in row if move >= 0]
    seen = set(figures)
    new = sum(scale.new[figure] for figure in seen)
    return ((len(figures) - len(seen)) * scale.again - new) // SCALE


def make_better(
    row: list[int],
    setting: Setting,
    least: int,
    chance: np.random.Generator,
    time_is_over: Callable[[], bool],
) -> list[int]:
    """A row of moves that costs no more; the search ends where it costs `least`."""
    moves, scale = setting.moves, setting.scale
    cost = cost_of(row, moves, scale)
    for _ in range(_ROUNDS):
        if cost <= least or time_is_over():
            break
        size = int(chance.integers(*_PART))
        runs = [place for place, move in enumerate(row) if move >= 0]
        first = int(chance.integers(max(1, len(runs) - size + 1)))
        chosen = runs[first : first + size]
        better = _anew(row, chosen[0], chosen[-1] + 1, setting, chance, time_is_over)
        if better is not None:
            row = better
            cost = cost_of(row, moves, scale)
    return row


def _anew(
    row: list[int],
    begin: int,
    end: int,
    setting: Setting,
    chance: np.random.Generator,
    time_is_over: Callable[[], bool],
) -> list[int] | None:
    """The row with what stands between the two items composed anew; None where nothing as cheap is found."""
    moves, scale = setting.moves, setting.scale
    elsewhere = {int(moves.figure[move]) for move in (*row[:begin], *row[end:]) if move >= 0}
    standing, danced = _after(row[:begin], moves)
    arrival, length = _after(row[:end], moves)
    ends = moves.place == moves.place[arrival]
    follows = next((move for move in row[end:] if move >= 0), None)
    ends = moves.ends if follows is None else ends & (moves.last != moves.figure[follows])
    prices = [scale.again if figure in elsewhere else price for figure, price in enumerate(setting.prices)]
    missing = setting.required - elsewhere
    bound = Bound(moves, scale, prices, begin=danced, length=length, ends=ends)
    allowed = np.zeros(setting.places.size, dtype=bool)
    allowed[np.isin(setting.places.place, moves.place[ends])] = True
    by_place = Bound(
        setting.places, scale, prices, sorted(missing), missing, begin=danced, length=length, ends=allowed
    )
    search = Search(moves, bound, by_place, missing, chance, time_is_over)
    least_elsewhere = cost_of([*row[:begin], *row[end:]], moves, scale)
    now = cost_of(row, moves, scale) - least_elsewhere
    found = search.best_below(now + 1, _WIDTH, standing, elsewhere)
    return None if found.row is None else [*row[:begin], *found.row, *row[end:]]


def _after(row: Sequence[int], moves: Moves) -> tuple[int, int]:
    """The standing after a row of moves from the start, and how much was danced."""
    standing = danced = 0
    for move in row:
        standing = int(moves.corner[standing] if move < 0 else moves.end[move])
        danced += 0 if move < 0 else int(moves.length[move])
    return standing, danced
