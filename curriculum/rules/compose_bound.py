"""The least a routine can still cost from any place of it: what the composer searches and proves by.

Coming back to a figure does not add up over the runs of a routine, so the bound relaxes it. Of some figures
(the tracked ones) it remembers whether they were danced: they cost what they cost. Each of the others has a
price, paid for every run of it and given back once: never more than it costs, whatever the price is. The
prices that make the bound best are found by raising those of figures that come too often and lowering those
that don't (a subgradient method).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from curriculum.rules.compose_net import Net, Run

SCALE: Final = 1000
"""Prices are whole thousandths of the smallest cost, so that sums are exact on every machine."""
NEVER: Final = 10**9
_OUT_OF_REACH: Final = NEVER // 2
_ROUNDS: Final = 100
_SHORTER_STEPS: Final = 0.95
_FIRST_PRICE: Final = 0.5

Numbers = npt.NDArray[np.int32]


@dataclass(frozen=True)
class Scale:
    """What things cost, in thousandths. again: to come back to a figure. new: figure -> what it brings to
    appear in the routine (0 for most)."""

    again: int
    new: tuple[int, ...]

    @classmethod
    def of(cls, net: Net, newest: frozenset[str]) -> Scale:
        """One repeat weighs more than all of the newest figures together."""
        new = tuple(SCALE if figure in newest else 0 for figure in net.figures)
        return cls(SCALE + sum(new), new)

    @property
    def least(self) -> int:
        """What no routine can cost less than."""
        return -sum(self.new)


class Bound:
    """The least cost to go, for every length danced, place, and set of tracked figures already danced."""

    def __init__(
        self, net: Net, scale: Scale, prices: Sequence[int], tracked: Sequence[int], needed: Sequence[int]
    ) -> None:
        assert net.length is not None  # noqa: S101
        self.net, self.scale, self.prices = net, scale, list(prices)
        self.bits = {figure: 1 << bit for bit, figure in enumerate(tracked)}
        self.given_back = [
            0 if figure in self.bits else prices[figure] + scale.new[figure]
            for figure in range(len(net.figures))
        ]
        self.to_go = self._fill(sum(self.bits.get(figure, 0) for figure in needed))

    @property
    def least(self) -> int:
        """What no routine can cost less than, in whole costs; NEVER where there is none."""
        value = int(self.to_go[0, 0, 0])
        if value >= _OUT_OF_REACH:
            return NEVER
        return -(-max(value - sum(self.given_back), self.scale.least) // SCALE)

    @property
    def exactly(self) -> int:
        """The same before rounding, in thousandths."""
        return int(self.to_go[0, 0, 0]) - sum(self.given_back)

    def _fill(self, needed: int) -> Numbers:
        net, sets = self.net, 1 << len(self.bits)
        length = net.length or 0
        longest = max((run.length for run in net.runs), default=0)
        to_go = np.full((length + longest + 1, net.size, sets), NEVER, dtype=np.int32)
        every = np.arange(sets)
        to_go[length][np.ix_(np.array(net.ends, dtype=bool), (every & needed) == needed)] = 0
        if not net.runs:
            return to_go
        after, charge = self._after_and_charge(every)
        figures = np.array([run.figure for run in net.runs])
        ends = np.array([run.length * net.size + run.end for run in net.runs])
        source = ends[:, None] * sets + after[figures]
        charges = charge[figures]
        starts = np.array([run.start for run in net.runs])
        first = np.flatnonzero(np.r_[True, starts[1:] != starts[:-1]])
        corner = np.array(net.corner)
        flat = to_go.reshape(-1)
        for danced in range(length - 1, -1, -1):
            ahead = flat[danced * net.size * sets :]
            costs = ahead[source] + charges
            here = np.minimum.reduceat(costs, first, axis=0)
            # What cannot be reached stays out of reach, whatever prices were added on the way.
            to_go[danced, starts[first]] = np.where(here >= _OUT_OF_REACH, NEVER, here)
            if net.has_corner(danced):
                to_go[danced] = np.minimum(to_go[danced], to_go[danced][corner])
        return to_go

    def _after_and_charge(self, every: npt.NDArray[np.int64]) -> tuple[npt.NDArray[np.int64], Numbers]:
        """For each figure and each set of tracked figures danced: the set after it, and what it costs."""
        figures = len(self.net.figures)
        after = np.tile(every, (figures, 1))
        charge = np.tile(np.array(self.prices, dtype=np.int32)[:, None], (1, len(every)))
        for figure, bit in self.bits.items():
            after[figure] = every | bit
            charge[figure] = np.where(every & bit, self.scale.again, -self.scale.new[figure])
        return after, charge

    def cheapest(self) -> list[Run]:
        """The row of runs that the bound speaks of; figures may come more often in it than it counts."""
        length = self.net.length or 0
        danced = place = seen = 0
        row: list[Run] = []
        while danced < length:
            if self.net.has_corner(danced):
                here, round_it = self.to_go[danced, [place, self.net.corner[place]], seen]
                place = self.net.corner[place] if round_it < here else place
            run = min(self.net.leaving[place], key=lambda run: self._cost(danced, seen, run))
            row.append(run)
            seen |= self.bits.get(run.figure, 0)
            danced, place = danced + run.length, run.end
        return row

    def _cost(self, danced: int, seen: int, run: Run) -> int:
        bit = self.bits.get(run.figure, 0)
        charge = self.prices[run.figure]
        if bit:
            charge = self.scale.again if seen & bit else -self.scale.new[run.figure]
        return int(self.to_go[danced + run.length, run.end, seen | bit]) + charge


def good_prices(
    net: Net, scale: Scale, required: frozenset[int], time_is_over: Callable[[], bool]
) -> list[int]:
    """Prices that make the bound without tracked figures about as high as prices can."""
    again = scale.again
    new = np.array(scale.new)
    # A figure that must be in may even be paid for; one that may be left out not more than it brings.
    lowest = np.where([figure in required for figure in range(len(new))], -20 * again, -new)
    prices = np.full(len(new), _FIRST_PRICE * again)
    best, best_value, step = prices, -NEVER, float(again)
    for _ in range(_ROUNDS):
        bound = Bound(net, scale, [int(price) for price in prices], (), ())
        if bound.exactly > best_value:
            best, best_value = prices, bound.exactly
        runs = np.bincount([run.figure for run in bound.cheapest()], minlength=len(new))
        way = runs - 1.0
        way[((prices >= again) & (way > 0)) | ((prices <= lowest) & (way < 0))] = 0
        size = float(np.sqrt((way * way).sum()))
        if not size or time_is_over():
            break
        prices = np.clip(prices + step / size * way, lowest, again)
        step *= _SHORTER_STEPS
    return [int(price) for price in best]
