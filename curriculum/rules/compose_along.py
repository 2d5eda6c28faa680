"""Composing from end to end: for routines with corners, which hang on how much was danced before them.

A wide search by the bound, which may prove its answer; then, in turns, better prices for the bound, parts of
the routine composed anew, and now and then the whole again, more widely.
"""

from __future__ import annotations

import time
from typing import Final

import numpy as np

from curriculum.rules.compose_best import Best, Turn, take_any
from curriculum.rules.compose_better import Setting, make_better
from curriculum.rules.compose_bound import SCALE, Bound, Scale, good_prices
from curriculum.rules.compose_moves import Moves
from curriculum.rules.compose_reach import Completions
from curriculum.rules.compose_search import Search

_FIRST_WIDTH: Final = 50
_TURNS: Final = 40
_WIDTHS: Final = {1: 300, 11: 1000, 21: 4000, 31: 16000}
"""After which turn of mending and pricing the whole is searched again, and how widely."""
_FINER_STEP, _FINER = 0.2, 0.8
_MOST_CELLS: Final = 30_000_000
"""Of the bound's table times the runs into each: what is tracked is limited so that it stays quick."""


def compose_along(best: Best, seed: int, deadline: float) -> None:
    """Find the best routine and its proof, or what can be found and proved before the time is over."""
    chance = np.random.default_rng(seed % 2**32)
    take_any(best, Completions(best.net, sorted(best.required)), chance)
    if not best.is_impossible:
        _Along(best, chance, deadline).search()


class _Along:
    def __init__(self, best: Best, chance: np.random.Generator, deadline: float) -> None:
        self.best, self.chance, self.deadline = best, chance, deadline
        figures = best.net.figures
        self.places, self.moves = Moves(best.net, 0), Moves(best.net, 1)
        self.tracked = sorted(best.required)[: _affordable(self.places)]
        self.scale = Scale.of(figures, [figures[number] for number in best.newest])
        self.repeats_only = Scale.of(figures, ())
        self.prices = [-new for new in self.scale.new]
        self.good: list[int] | None = None
        self.row = None if best.row is None else self._moves_of(best.row)

    def time_is_over(self) -> bool:
        return time.monotonic() > self.deadline

    @property
    def is_over(self) -> bool:
        """Whether there is nothing better, or no time to look for it."""
        return self.best.is_proved or self.time_is_over()

    def search(self) -> None:
        """Look for the best routine, and for the proof that there is no better one."""
        self._look(_FIRST_WIDTH)
        if not self.is_over:
            self._price(rounds=100, step=1.0)
        for turn in range(_TURNS):
            if self.is_over:
                break
            self._mend()
            if not self.is_over:
                self._price(rounds=40, step=_FINER_STEP * _FINER**turn)
            if turn in _WIDTHS and not self.is_over:
                self._look(_WIDTHS[turn])

    def _look(self, width: int) -> None:
        """Search from end to end, which may prove that there is nothing better."""
        bound = Bound(self.moves, self.scale, self.prices)
        by_place = Bound(self.places, self.scale, self.prices, self.tracked, self.best.required)
        self.best.prove(max(bound.least, by_place.least))
        search = Search(self.moves, bound, by_place, self.best.required, self.chance, self.time_is_over)
        found = search.best_below(self.best.cost, width)
        if found.row is not None:
            self._take(found.row)
        if found.complete:
            self.best.prove(self.best.cost)

    def _price(self, *, rounds: int, step: float) -> None:
        """Find better prices, and with them the fewest repeats there can be.

        Repeats count alone here: they are whole, so that a bound of two and a half of them is three.
        """
        prices = good_prices(
            self.moves,
            self.repeats_only,
            self.best.required,
            self.time_is_over,
            prices=self.good,
            rounds=rounds,
            step=step,
        )
        self.good = prices
        fewest = max(
            Bound(self.moves, self.repeats_only, prices).least,
            Bound(self.places, self.repeats_only, prices, self.tracked, self.best.required).least,
        )
        self.best.prove((fewest * self.scale.again + self.scale.least) // SCALE)
        self.prices = [price * self.scale.again // SCALE for price in prices]

    def _mend(self) -> None:
        """Make the routine better bit by bit."""
        if self.row is not None:
            setting = Setting(self.places, self.moves, self.scale, self.prices, self.best.required)
            self._take(make_better(self.row, setting, self.best.least, self.chance, self.time_is_over))

    def _take(self, row: list[int]) -> None:
        self.row = row
        self.best.take(self._turns_of(row))

    def _moves_of(self, row: list[Turn]) -> list[int]:
        """A row of moves, -1 for a corner."""
        moves: list[int] = []
        standing = 0
        for run, is_corner in row:
            move = self.moves.by_run[standing, id(run)]
            moves.extend([move, -1] if is_corner else [move])
            standing = int(self.moves.end[move])
            standing = int(self.moves.corner[standing]) if is_corner else standing
        return moves

    def _turns_of(self, row: list[int]) -> list[Turn]:
        runs = self.best.net.runs
        followed = [*row[1:], 0]
        return [
            (runs[self.moves.run[move]], after < 0)
            for move, after in zip(row, followed, strict=True)
            if move >= 0
        ]


def _affordable(moves: Moves) -> int:
    """How many figures the bound may track."""
    cells = max(1, len(moves.start) * (moves.net.length or 1))
    return max(0, (_MOST_CELLS // cells).bit_length() - 1)
