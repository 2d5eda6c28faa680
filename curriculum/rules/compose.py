"""The composer: a routine of exactly so many beats out of what is taught, with as few repeats as can be.

The parts: compose_values.py what is asked and answered, compose_net.py where a couple can stand and what
leads on (compose_moves.py the same as arrays), compose_reach.py what can still be met from there,
compose_bound.py the least it can cost, compose_search.py the search from end to end, compose_better.py the
mending bit by bit, compose_conflict.py why there is no such routine.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction
from typing import Final

import numpy as np

from curriculum.rules.compose_better import Setting, cost_of, make_better
from curriculum.rules.compose_bound import NEVER, SCALE, Bound, Scale, good_prices
from curriculum.rules.compose_conflict import clash, possible, without
from curriculum.rules.compose_moves import Moves
from curriculum.rules.compose_net import Net, Run
from curriculum.rules.compose_reach import NO_FIGURE, Completions
from curriculum.rules.compose_search import Search
from curriculum.rules.compose_values import Composition, Cost, Demand, Question, Status, question
from curriculum.rules.stance import CORNER, Floor, Passage, RoutineItem, Stance
from curriculum.rules.wording import PLAIN_WORDS, Words, sentence

__all__ = ["Composition", "Cost", "Demand", "Question", "compose", "possible", "question", "without"]

_SECONDS_FOR_A_REASON: Final = 3.0
"""At least: why there is no routine is worth waiting for even when the time for the search is over."""
_FIRST_WIDTH: Final = 50
_TURNS: Final = 40
_WIDTHS: Final = {1: 300, 11: 1000, 21: 4000, 31: 16000}
"""After which turn of mending and pricing the whole is searched again, and how widely."""
_FINER_STEP, _FINER = 0.2, 0.8
_MOST_CELLS: Final = 30_000_000
"""Of the bound's table times the runs into each: what is tracked is limited so that it stays quick."""


def compose(
    passages: Sequence[Passage],
    *,
    start: Stance,
    end: Stance | None = None,
    beats: int | Fraction,
    floor: Floor,
    taught: Collection[str],
    required: Collection[str] = (),
    avoid: Collection[str] = (),
    newest: Collection[str] = frozenset(),
    in_a_row: Mapping[str, int] | None = None,
    seconds: float = 5.0,
    seed: int = 1,
    corner_every: int | Fraction | None = None,
    words: Words = PLAIN_WORDS,
) -> Composition:
    """Compose a routine that goes on from `start`, is exactly `beats` long, and can go on into `end`.

    Only taught figures that are not to be avoided are danced, every required one among them, none more often
    in a row than `in_a_row` says (once, unless it says otherwise). Every join holds, after a free change or
    with give where needed. Among such routines the best has the fewest repeats (runs of a figure beyond its
    first), then the most of `newest`. A passage of no length is never placed. beats: from 0 up, in twelfths.

    corner_every: a corner of the room may lie wherever so many beats have been danced, between two different
    figures; None where the dance does not travel. words: names for keys in the sentences of a conflict.

    seed: decides between routines of equal cost and between ways through a figure that come to the same, so
    another seed gives another proposal where there is one to be found. Equal questions and seeds give equal
    answers unless the clock (`seconds`) ends the search.

    That there is none is proved exactly for up to 14 required figures; with more the answer may be "unknown"
    where it is "impossible", and a conflict may name more than it must.

    ValueError, with a sentence, for a length or a number of times that cannot be; TypeError for floats.
    """
    deadline = time.monotonic() + seconds

    def time_is_over() -> bool:
        return time.monotonic() > deadline

    asked = question(
        passages,
        start=start,
        end=end,
        beats=beats,
        floor=floor,
        taught=taught,
        required=required,
        avoid=avoid,
        newest=newest,
        in_a_row=in_a_row or {},
        corner_every=corner_every,
    )
    out_of_reach = _out_of_reach(asked, words)
    if out_of_reach is not None:
        return Composition("impossible", conflict=(out_of_reach,))
    composing = _Composing(asked, seed, time_is_over)
    if not composing.is_impossible:
        composing.search()
    if composing.is_impossible:
        until = max(deadline, time.monotonic() + _SECONDS_FOR_A_REASON)
        conflict = clash(asked, words, lambda: time.monotonic() > until)
        return Composition("impossible", conflict=conflict)
    return composing.answer()


def _out_of_reach(asked: Question, words: Words) -> Demand | None:
    """A required figure that cannot be in, whatever else is asked."""
    for figure in asked.required:
        name = words.figure(figure)
        if figure not in asked.taught:
            return Demand("untaught", figure, sentence(f"{name} must be in it and is not taught yet"))
        if figure in asked.avoid:
            return Demand("avoided", figure, sentence(f"{name} must be in it and is to be avoided"))
        if not any(passage.figure == figure for passage in asked.usable):
            return Demand("required", figure, sentence(f"{name} must be in it and has no way in and out"))
    return None


class _Composing:
    """The search for the best routine: what was found, and what was proved."""

    def __init__(self, asked: Question, seed: int, time_is_over: Callable[[], bool]) -> None:
        self.time_is_over = time_is_over
        self.chance = np.random.default_rng(seed % 2**32)
        net = Net(asked, seed)
        required = [net.figures.index(figure) for figure in asked.required]
        self.required = frozenset(required)
        self.completions = Completions(net, required)
        self.places, self.moves = Moves(net, 0), Moves(net, 1)
        self.tracked = sorted(self.required)[: _affordable(self.places)]
        self.scale, self.repeats_only = Scale.of(net.figures, asked.newest), Scale.of(net.figures, ())
        self.prices = [-new for new in self.scale.new]
        self.good: list[int] | None = None
        self.row: list[int] | None = None
        self.cost = NEVER
        self.least = self.scale.least // SCALE
        if not self.completions.possible(0, 0, NO_FIGURE, self.completions.missing_at_start):
            self.least = NEVER

    @property
    def is_over(self) -> bool:
        """Whether there is nothing better, or no time to look for it."""
        return self.least >= self.cost or self.time_is_over()

    @property
    def is_impossible(self) -> bool:
        """Whether it is proved that there is no routine."""
        return self.least >= NEVER

    def search(self) -> None:
        """Look for the best routine, and for the proof that there is no better one."""
        self._begin()
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

    def answer(self) -> Composition:
        """What the search came to."""
        if self.row is None:
            return Composition("unknown")
        status: Status = "optimal" if self.least >= self.cost else "feasible"
        least = min(self.least, self.cost)
        return Composition(status, _items(self.moves, self.row), self._both(self.cost), self._both(least))

    def _begin(self) -> None:
        """A first routine, so that there is one whatever the time."""
        row = self._moves_of(self.completions.any_row(self.chance))
        if self.required <= {int(self.moves.figure[move]) for move in row if move >= 0}:
            self.row, self.cost = row, cost_of(row, self.moves, self.scale)

    def _moves_of(self, runs: list[tuple[Run, bool]]) -> list[int]:
        row: list[int] = []
        standing = 0
        for run, corner in runs:
            move = self.moves.by_run[standing, id(run)]
            row.extend([move, -1] if corner else [move])
            standing = int(self.moves.end[move])
            standing = int(self.moves.corner[standing]) if corner else standing
        return row

    def _look(self, width: int) -> None:
        """Search from end to end, which may prove that there is nothing better."""
        bound = Bound(self.moves, self.scale, self.prices)
        by_place = Bound(self.places, self.scale, self.prices, self.tracked, self.required)
        self.least = max(self.least, bound.least, by_place.least)
        search = Search(self.moves, bound, by_place, self.required, self.chance, self.time_is_over)
        found = search.best_below(self.cost, width)
        if found.row is not None:
            self.row, self.cost = found.row, found.cost
        if found.complete:
            self.least = self.cost

    def _price(self, *, rounds: int, step: float) -> None:
        """Find better prices, and with them the fewest repeats there can be.

        Repeats count alone here: they are whole, so that a bound of two and a half of them is three.
        """
        prices = good_prices(
            self.moves,
            self.repeats_only,
            self.required,
            self.time_is_over,
            prices=self.good,
            rounds=rounds,
            step=step,
        )
        self.good = prices
        fewest = max(
            Bound(self.moves, self.repeats_only, prices).least,
            Bound(self.places, self.repeats_only, prices, self.tracked, self.required).least,
        )
        self.least = max(self.least, (fewest * self.scale.again + self.scale.least) // SCALE)
        self.prices = [price * self.scale.again // SCALE for price in prices]

    def _mend(self) -> None:
        """Make the routine better bit by bit."""
        if self.row is not None:
            setting = Setting(self.places, self.moves, self.scale, self.prices, self.required)
            self.row = make_better(self.row, setting, self.least, self.chance, self.time_is_over)
            self.cost = cost_of(self.row, self.moves, self.scale)

    def _both(self, cost: int) -> Cost:
        """The one number of the search as the two of the contract."""
        again = self.scale.again // SCALE
        repeats = -(-cost // again)
        return repeats, cost - repeats * again


def _affordable(moves: Moves) -> int:
    """How many figures the bound may track."""
    cells = max(1, len(moves.start) * (moves.net.length or 1))
    return max(0, (_MOST_CELLS // cells).bit_length() - 1)


def _items(moves: Moves, row: list[int]) -> tuple[RoutineItem, ...]:
    items: list[RoutineItem] = []
    for move in row:
        items.extend((CORNER,) if move < 0 else moves.net.runs[moves.run[move]].passages)
    return tuple(items)
