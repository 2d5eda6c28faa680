"""Counted moves brought into an order: one walk from the start to the end, no figure twice running.

At every standing each move that comes in is given one that goes on. That makes one way from the start to the
end and perhaps some rounds beside it, which are then taken into it: where two of them meet in a standing,
they change over.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations
from typing import Final

import numpy as np

from curriculum.rules.compose_moves import Moves

_TRIES: Final = 60
_OUTSIDE: Final = -1
"""Stands for what comes before the first move and what follows the last: there the walk closes to a round."""


def apart(moves: Moves, danced: Iterable[int]) -> list[set[int]]:
    """Of the standings between those moves the groups that do not hang together with the start."""
    group: dict[int, set[int]] = {0: {0}}
    for number in danced:
        ends = int(moves.start[number]), int(moves.end[number])
        together = set().union(*(group.get(end, {end}) for end in ends))
        group.update(dict.fromkeys(together, together))
    groups = {id(one): one for one in group.values()}
    return [one for one in groups.values() if 0 not in one]


def in_order(moves: Moves, danced: list[int], end: int, chance: np.random.Generator) -> list[int] | None:
    """The moves by number, each as often as given. None where no order was found in which no figure
    follows itself; where standings hold the figure danced last there is one if the moves hang together."""
    for _ in range(_TRIES):
        walk = _Walk(moves, danced, end, chance)
        if walk.is_one():
            return walk.in_turn()
    return None


class _Walk:
    """Places in a list of moves danced, each with the one that follows it; chance decides which that is."""

    def __init__(self, moves: Moves, danced: list[int], end: int, chance: np.random.Generator) -> None:
        self.danced = danced
        self.figure = [*(int(moves.figure[number]) for number in danced), _OUTSIDE]  # the last is _OUTSIDE's
        self.coming: dict[int, list[int]] = defaultdict(list)
        going: dict[int, list[int]] = defaultdict(list)
        self.coming[0].append(_OUTSIDE)
        going[end].append(_OUTSIDE)
        for place in map(int, chance.permutation(len(danced))):
            going[int(moves.start[danced[place]])].append(place)
            self.coming[int(moves.end[danced[place]])].append(place)
        self.follows: dict[int, int] = {}
        for standing, coming in self.coming.items():
            self.follows.update(zip(coming, going[standing], strict=True))
            for place in coming:
                self._part(place, coming)

    def _part(self, place: int, coming: list[int]) -> None:
        """Give it another to follow it where that is its own figure. There always is one to change with:
        of no figure do more come in and go on, taken together, than there are pairs."""
        if not self._may_follow(place, self.follows[place]):
            self._change(place, next(other for other in coming if self._may_change(place, other)))

    def _may_follow(self, place: int, follower: int) -> bool:
        return place == _OUTSIDE or self.figure[place] != self.figure[follower]

    def _may_change(self, one: int, other: int) -> bool:
        follows = self.follows
        return self._may_follow(one, follows[other]) and self._may_follow(other, follows[one])

    def _change(self, one: int, other: int) -> None:
        self.follows[one], self.follows[other] = self.follows[other], self.follows[one]

    def is_one(self) -> bool:
        """Take all rounds into one as far as that can be; whether it could."""
        rounds = self._rounds()
        for coming in self.coming.values():
            for one, other in combinations(coming, 2):
                if rounds[one] != rounds[other] and self._may_change(one, other):
                    self._change(one, other)
                    gone, kept = rounds[other], rounds[one]
                    rounds = {place: kept if of == gone else of for place, of in rounds.items()}
        return len(set(rounds.values())) == 1

    def _rounds(self) -> dict[int, int]:
        """Each place, with a number for the round it lies on."""
        rounds: dict[int, int] = {}
        for first in self.follows:
            place = first
            while place not in rounds:
                rounds[place] = first
                place = self.follows[place]
        return rounds

    def in_turn(self) -> list[int]:
        """The moves from the start to the end, where all lie on one round."""
        row: list[int] = []
        place = self.follows[_OUTSIDE]
        while place != _OUTSIDE:
            row.append(self.danced[place])
            place = self.follows[place]
        return row
