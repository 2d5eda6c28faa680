"""Composing by counting: first how often each way through a figure is danced, and then in which order.

Where no corner hangs on the moment, a routine costs the same in whatever order it is danced. Counts of moves
are those of one walk exactly if at every standing as many come in as go out (but for the start and the end),
and if all of them hang together: Euler's theorem. So nothing needs to be said of when a figure is danced, and
the integer programme stays small however long the routine is. That all hangs together is not said
beforehand: what is found apart from the start is tied to it, and it is counted again.

CP-SAT solves it, by one worker and in whole numbers: its proofs are exact, and equal questions with equal
seeds get equal answers.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from curriculum.rules.compose_best import Best, take_any
from curriculum.rules.compose_moves import Moves
from curriculum.rules.compose_order import apart, in_order
from curriculum.rules.compose_reach import Completions
from curriculum.rules.compose_values import NEVER


def compose_by_counting(best: Best, seed: int, deadline: float) -> None:
    """Find the best routine and its proof in a net without corners; less of it if the time is over before.

    Standings that do not hold the figure danced last are far fewer, and what is counted over them can nearly
    always be brought into an order.
    """
    chance = np.random.default_rng(seed % 2**32)
    for memory in (0, 1):
        if best.row is None and not best.is_impossible and time.monotonic() < deadline:
            _count(Moves(best.net, memory), best, seed, deadline, chance)
    if best.row is None and not best.is_impossible:
        take_any(best, Completions(best.net, sorted(best.required)), chance)


def _count(moves: Moves, best: Best, seed: int, deadline: float, chance: np.random.Generator) -> None:
    """Count until all of it hangs together, and bring it into an order."""
    counting = Counting(moves, best, seed)
    while True:
        counted = counting.counted(deadline - time.monotonic())
        best.prove(counted.least)
        loose = apart(moves, counted.danced)
        if not loose or not counted.is_found:
            break
        for standings in loose:
            counting.tie(standings)
    row = in_order(moves, counted.danced, counted.end, chance) if counted.is_found else None
    if row is not None:
        best.take([(best.net.runs[moves.run[move]], False) for move in row])


@dataclass(frozen=True, slots=True)
class Counted:
    """danced: numbers of moves, each as often as it is danced. end: the standing in which the routine ends.
    least: what no routine can cost less than."""

    least: int
    is_found: bool = False
    danced: list[int] = field(default_factory=list)
    end: int = 0


class Counting:
    """The programme over some moves."""

    def __init__(self, moves: Moves, best: Best, seed: int) -> None:
        self.moves, self.seed = moves, seed
        self.model = cp_model.CpModel()
        length = best.net.length or 0
        self.lengths = [int(one) for one in moves.length]
        self.most = [length // one for one in self.lengths]
        self.times = [self.model.new_int_var(0, most, "") for most in self.most]
        self.ends = {int(standing): self.model.new_bool_var("") for standing in np.flatnonzero(moves.ends)}
        self._walk()
        self.model.add(cp_model.LinearExpr.weighted_sum(self.times, self.lengths) == length)
        self._cost(best)

    def _walk(self) -> None:
        """As many moves come in as go out; and of no figure so many that it must follow itself."""
        coming = _by(self.moves.end)
        going = _by(self.moves.start)
        self.model.add_exactly_one(self.ends.values())
        for standing in range(self.moves.size):
            into = self._by_figure(coming[standing])
            onward = self._by_figure(going[standing])
            out = [self.times[move] for move in going[standing]]
            out += [self.ends[standing]] if standing in self.ends else []
            pairs = cp_model.LinearExpr.sum(out)
            self.model.add(self._sum(coming[standing]) + int(not standing) == pairs)
            for figure in sorted(into.keys() & onward.keys()):
                # Each of these is paired with a move of another figure.
                self.model.add(self._sum(into[figure] + onward[figure]) <= pairs)

    def _cost(self, best: Best) -> None:
        ways = self._by_figure(range(len(self.times)))
        repeats, appears = [], []
        for figure in range(len(best.net.figures)):
            most = sum(self.most[move] for move in ways[figure])
            repeats.append(self.model.new_int_var(0, most, ""))
            appears.append(self.model.new_bool_var(""))
            self.model.add(self._sum(ways[figure]) == repeats[figure] + appears[figure])
            self.model.add(repeats[figure] == 0).only_enforce_if(~appears[figure])
            if figure in best.required:
                self.model.add(appears[figure] == 1)
        new = cp_model.LinearExpr.sum([appears[figure] for figure in sorted(best.newest)])
        self.model.minimize(best.again * cp_model.LinearExpr.sum(repeats) - new)

    def _sum(self, moves: Iterable[int]) -> cp_model.LinearExprT:
        return cp_model.LinearExpr.sum([self.times[move] for move in moves])

    def _by_figure(self, moves: Iterable[int]) -> dict[int, list[int]]:
        found: dict[int, list[int]] = defaultdict(list)
        for move in moves:
            found[int(self.moves.figure[move])].append(move)
        return found

    def tie(self, standings: Collection[int]) -> None:
        """What is danced among these standings is come to from others. The start is none of them."""
        starts, ends = (np.isin(side, list(standings)) for side in (self.moves.start, self.moves.end))
        coming = self._sum(np.flatnonzero(~starts & ends))
        for move in np.flatnonzero(starts & ends):
            self.model.add(self.times[move] <= self.most[move] * coming)

    def counted(self, seconds: float) -> Counted:
        """The cheapest counts, or the best found in the time."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = self.seed % 2**31
        solver.parameters.max_time_in_seconds = max(seconds, 0)
        status = solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            return Counted(NEVER)
        least = math.ceil(solver.best_objective_bound - 1e-6)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Counted(least)
        danced = [move for move, times in enumerate(self.times) for _ in range(solver.value(times))]
        end = next(standing for standing, is_end in self.ends.items() if solver.value(is_end))
        return Counted(least, True, danced, end)


def _by(standings: Iterable[int]) -> dict[int, list[int]]:
    """Numbers of moves by the standing on one side of them."""
    found: dict[int, list[int]] = defaultdict(list)
    for move, standing in enumerate(standings):
        found[int(standing)].append(move)
    return found
