"""The least a routine can still cost from any place of it: what the composer searches and proves by.

Coming back to a figure does not add up over the runs of a routine, so the bound relaxes it. Of some figures
(the tracked ones) it remembers whether they were danced: they cost what they cost. Each of the others has a
price, paid for every run of it and given back once: never more than it costs, whatever the price is. The
prices that make the bound best are found by raising those of figures that come too often and lowering those
that don't (a subgradient method).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from curriculum.rules.compose_moves import Ints, Moves
from curriculum.rules.compose_values import NEVER

SCALE: Final = 1000
"""Prices are whole thousandths of the smallest cost, so that sums are exact on every machine."""
OUT_OF_REACH: Final = NEVER // 2
_SHORTER_STEPS: Final = 0.95
_FIRST_PRICE: Final = 0.5

Costs = npt.NDArray[np.int32]


@dataclass(frozen=True)
class Scale:
    """What things cost, in thousandths. again: to come back to a figure. new: figure -> what it brings to
    appear in the routine (0 for most)."""

    again: int
    new: tuple[int, ...]

    @classmethod
    def of(cls, figures: Sequence[str], newest: Collection[str]) -> Scale:
        """One repeat weighs more than all of the newest figures together."""
        new = tuple(SCALE if figure in newest else 0 for figure in figures)
        return cls(SCALE + sum(new), new)

    @property
    def least(self) -> int:
        """What no routine can cost less than."""
        return -sum(self.new)


class Bound:
    """The least cost to go, for every length danced, standing, and set of tracked figures already danced.

    to_go: where a corner may still be gone round; straight: length -> the same where it may not. begin,
    length: of the part of the routine it speaks of; ends: the standings in which that may end.
    """

    def __init__(
        self,
        moves: Moves,
        scale: Scale,
        prices: Sequence[int],
        tracked: Sequence[int] = (),
        needed: Collection[int] = (),
        *,
        begin: int = 0,
        length: int | None = None,
        ends: npt.NDArray[np.bool_] | None = None,
    ) -> None:
        self.moves, self.scale = moves, scale
        self.begin = begin
        self.length = (moves.net.length or 0) if length is None else length
        self.ends = moves.ends if ends is None else ends
        self.sets = 1 << len(tracked)
        self.bit: Ints = np.zeros(len(prices), dtype=np.int64)
        self.bit[list(tracked)] = 1 << np.arange(len(tracked))
        self.prices = np.array(prices, dtype=np.int64)
        self.given_back = np.where(self.bit, 0, self.prices + np.array(scale.new, dtype=np.int64))
        every = np.arange(self.sets)
        self._after = every | self.bit[:, None]
        again = np.where(every & self.bit[:, None], scale.again, -np.array(scale.new)[:, None])
        self._charge = np.where(self.bit[:, None], again, self.prices[:, None]).astype(np.int32)
        self.straight: dict[int, Costs] = {}
        self.to_go = self._fill(int(self.bit[list(needed)].sum()))

    @property
    def exactly(self) -> int:
        """What no routine can cost less than, in thousandths; NEVER where there is none."""
        value = int(self.to_go[0, 0, 0])
        return NEVER if value >= OUT_OF_REACH else max(value - int(self.given_back.sum()), self.scale.least)

    @property
    def least(self) -> int:
        """The same in whole costs."""
        return NEVER if self.exactly == NEVER else -(-self.exactly // SCALE)

    def _fill(self, needed: int) -> Costs:
        moves, sets = self.moves, self.sets
        to_go = np.full((self.length + moves.longest + 1, moves.size, sets), NEVER, dtype=np.int32)
        to_go[self.length][np.ix_(self.ends, (np.arange(sets) & needed) == needed)] = 0
        source = (moves.length * moves.size + moves.end)[:, None] * sets + self._after[moves.figure]
        charge = np.where(moves.back[:, None], np.int32(self.scale.again), self._charge[moves.figure])
        leaving = np.flatnonzero(moves.finishes > moves.begins)
        first = moves.begins[leaving]
        flat = to_go.reshape(-1)
        for danced in range(self.length - 1, self.begin - 1, -1):
            if len(leaving):
                costs = flat[danced * moves.size * sets :][source] + charge
                here = np.minimum.reduceat(costs, first, axis=0)
                # What is out of reach stays so, whatever was added to it on the way.
                to_go[danced, leaving] = np.where(here >= OUT_OF_REACH, NEVER, here)
            if moves.net.has_corner(danced):
                self.straight[danced] = to_go[danced].copy()
                to_go[danced] = np.minimum(to_go[danced], to_go[danced][moves.corner])
        return to_go

    def cheapest(self) -> Ints:
        """The moves of the row that the bound speaks of, as if every figure not tracked cost its price."""
        moves = self.moves
        danced = standing = seen = 0
        row: list[int] = []
        while danced < self.length:
            if danced in self.straight:
                straight = self.straight[danced]
                round_it = moves.corner[standing]
                standing = round_it if straight[round_it, seen] < straight[standing, seen] else standing
            choice = np.arange(moves.begins[standing], moves.finishes[standing])
            figures = moves.figure[choice]
            ahead = self.to_go[danced + moves.length[choice], moves.end[choice], self._after[figures, seen]]
            charge = np.where(moves.back[choice], self.scale.again, self._charge[figures, seen])
            move = int(choice[np.argmin(ahead + charge)])
            row.append(move)
            seen = int(self._after[moves.figure[move], seen])
            danced, standing = danced + int(moves.length[move]), int(moves.end[move])
        return np.array(row, dtype=np.int64)


def good_prices(
    moves: Moves,
    scale: Scale,
    required: Collection[int],
    time_is_over: Callable[[], bool],
    *,
    prices: Sequence[int] | None = None,
    rounds: int = 100,
    step: float = 1.0,
) -> list[int]:
    """Prices that make the bound without tracked figures about as high as prices can.

    prices: to begin with. step: how far the first step goes, of what it costs to come back to a figure.
    """
    again = scale.again
    # A figure that must be in may even be paid for; one that may be left out not more than it brings.
    lowest = -np.array(scale.new, dtype=np.int64)
    lowest[list(required)] = -20 * again
    now = np.full(len(lowest), _FIRST_PRICE * again) if prices is None else np.array(prices, dtype=float)
    best, best_value, way_to_go = now, -NEVER, step * again
    for _ in range(rounds):
        bound = Bound(moves, scale, [int(price) for price in now])
        value = int(bound.to_go[0, 0, 0]) - int(bound.given_back.sum())
        if value > best_value:
            best, best_value = now, value
        row = bound.cheapest()
        runs = np.bincount(moves.figure[row[~moves.back[row]]], minlength=len(lowest))
        way = runs - 1.0
        way[((now >= again) & (way > 0)) | ((now <= lowest) & (way < 0))] = 0
        size = float(np.sqrt((way * way).sum()))
        if not size or time_is_over():
            break
        now = np.clip(now + way_to_go / size * way, lowest, again)
        way_to_go *= _SHORTER_STEPS
    return [int(price) for price in best]
