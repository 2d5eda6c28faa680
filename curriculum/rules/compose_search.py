"""The search for routines: length by length, keeping the most promising openings.

Openings that cannot be danced to the end, or cannot cost less than what was found, are dropped for good; a
search that dropped no others has proved that there is nothing better. All openings of one length are columns
of one table, so that thousands are lengthened at once.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from curriculum.rules.compose_bound import SCALE, Bound
from curriculum.rules.compose_moves import Ints, Moves

# Rows of the table of openings. GIVEN_BACK, BACK_BY_PLACE: by either bound, as far as danced; TRACKED: the
# set of the second; LEAST: what the whole can cost at the least; COMES_FROM: the number of the opening
# before; from SEEN on: figures danced.
STANDING, COST, GIVEN_BACK, BACK_BY_PLACE, TRACKED, LEAST, COMES_FROM, MOVE, CORNER_AFTER, SEEN = range(10)
_FIGURES_A_WORD: Final = 62


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found. row: moves, -1 = a corner; None where nothing costs little enough. cost: in whole
    costs. complete: nothing better was passed over."""

    row: list[int] | None
    cost: int
    complete: bool


class Search:
    """Searches over one net by one bound. required: figures that must be in."""

    def __init__(
        self,
        moves: Moves,
        bound: Bound,
        by_place: Bound,
        required: frozenset[int],
        chance: np.random.Generator,
        time_is_over: Callable[[], bool],
    ) -> None:
        self.moves, self.bound, self.by_place = moves, bound, by_place
        self.length = bound.length
        self.chance, self.time_is_over = chance, time_is_over
        figures = len(bound.given_back)
        self.words = figures // _FIGURES_A_WORD + 1
        numbers = np.arange(figures)
        self.word = numbers // _FIGURES_A_WORD
        self.mask = np.left_shift(np.int64(1), numbers % _FIGURES_A_WORD)
        self.must = self.figures(required)
        self.new = np.array(bound.scale.new, dtype=np.int64)
        self.lengths = np.unique(moves.length)
        # The standings without memory are the places, but numbered as they were come to.
        number = {int(place): standing for standing, place in enumerate(by_place.moves.place)}
        self.where: Ints = np.array([number[int(place)] for place in moves.place])
        # For each length the moves of it, and where those of a standing begin and end among them.
        self.of_length = {int(length): np.flatnonzero(moves.length == length) for length in self.lengths}
        standings = np.arange(moves.size)
        self.begins = {
            length: np.searchsorted(moves.start[which], standings) for length, which in self.of_length.items()
        }
        self.finishes = {
            length: np.searchsorted(moves.start[which], standings, side="right")
            for length, which in self.of_length.items()
        }

    def figures(self, numbers: Iterable[int]) -> Ints:
        """A set of figures as the table of openings writes it."""
        words: Ints = np.zeros(self.words, dtype=np.int64)
        for figure in numbers:
            words[self.word[figure]] |= self.mask[figure]
        return words

    def best_below(self, cost: int, width: int, standing: int = 0, seen: Collection[int] = ()) -> Found:
        """The best row that costs less, keeping at most `width` openings of each length.

        standing: where it starts; seen: figures danced elsewhere in the routine, to which it would come back.
        """
        most = (cost - 1) * SCALE
        start = np.zeros((SEEN + self.words, 1), dtype=np.int64)
        start[STANDING] = standing
        start[SEEN:, 0] = self.figures(seen)
        unseen = np.ones(len(self.new), dtype=bool)
        unseen[list(seen)] = False
        start[GIVEN_BACK] = -self.bound.given_back[unseen].sum()
        start[BACK_BY_PLACE] = -self.by_place.given_back[unseen].sum()
        start[COMES_FROM] = start[MOVE] = -1
        begin = self.bound.begin
        waiting: dict[int, list[Ints]] = {begin: [start]}
        kept: list[Ints] = []
        complete, count = True, 0
        for danced in range(begin, self.length):
            if danced not in waiting:
                continue
            openings = self._different(np.concatenate(waiting.pop(danced), axis=1))
            if openings.shape[1] > width:
                openings = self._most_promising(openings, width)
                complete = False
            if self.time_is_over():
                return Found(None, cost, False)
            for after, longer in self._longer(openings, danced, most, count):
                waiting.setdefault(after, []).append(longer)
            kept.append(openings[[COMES_FROM, MOVE, CORNER_AFTER]])
            count += openings.shape[1]
        whole = self._whole(waiting.get(self.length, []), most)
        if not whole.shape[1]:
            return Found(None, cost, complete)
        best = whole[:, int(np.argmin(whole[COST]))]
        return Found(self._row(best, kept), int(best[COST]) // SCALE, complete)

    def _whole(self, routines: list[Ints], most: int) -> Ints:
        """Of openings as long as the routine, those that are one."""
        if not routines:
            return np.zeros((SEEN + self.words, 0), dtype=np.int64)
        table = np.concatenate(routines, axis=1)
        met = ((table[SEEN:] & self.must[:, None]) == self.must[:, None]).all(axis=0)
        return table[:, met & self.bound.ends[table[STANDING]] & (table[COST] <= most)]

    def _different(self, openings: Ints) -> Ints:
        """Of those that stand alike and danced the same figures the one that cost least."""
        order = np.lexsort((openings[COST], openings[STANDING], *openings[SEEN:]))
        openings = openings[:, order]
        alike = openings[[STANDING, *range(SEEN, SEEN + self.words)]]
        first = np.ones(openings.shape[1], dtype=bool)
        first[1:] = (alike[:, 1:] != alike[:, :-1]).any(axis=0)
        return openings[:, first]

    def _most_promising(self, openings: Ints, width: int) -> Ints:
        ranked = openings[LEAST] + self.chance.random(openings.shape[1])
        return openings[:, np.argpartition(ranked, width)[:width]]

    def _longer(self, openings: Ints, danced: int, most: int, count: int) -> Iterator[tuple[int, Ints]]:
        """The openings with one move more, by new length, that can still end well and cheaply enough."""
        for length in map(int, self.lengths):
            after = danced + length
            if after > self.length:
                break
            begins = self.begins[length][openings[STANDING]]
            times = self.finishes[length][openings[STANDING]] - begins
            opening = np.repeat(np.arange(openings.shape[1]), times)
            if not len(opening):
                continue
            nth = np.arange(len(opening)) - np.repeat(np.cumsum(times) - times, times)
            move = self.of_length[length][begins[opening] + nth]
            straight = self._moved(openings, opening, move, count)
            yield after, self._hopeful(straight, after, most)
            if self.moves.net.has_corner(after) and after < self.length:
                straight[STANDING] = self.moves.corner[straight[STANDING]]
                straight[CORNER_AFTER] = 1
                yield after, self._hopeful(straight, after, most)

    def _moved(self, openings: Ints, opening: Ints, move: Ints, count: int) -> Ints:
        bound, figure = self.bound, self.moves.figure[move]
        longer = openings[:, opening]
        row, mask = SEEN + self.word[figure], self.mask[figure]
        columns = np.arange(len(move))
        known = (longer[row, columns] & mask) != 0
        longer[row, columns] |= mask
        longer[STANDING] = self.moves.end[move]
        longer[COST] += np.where(known, bound.scale.again, -self.new[figure])
        longer[GIVEN_BACK] += np.where(known, 0, bound.given_back[figure])
        longer[BACK_BY_PLACE] += np.where(known, 0, self.by_place.given_back[figure])
        longer[TRACKED] |= self.by_place.bit[figure]
        longer[COMES_FROM], longer[MOVE], longer[CORNER_AFTER] = count + opening, move, 0
        return longer

    def _hopeful(self, longer: Ints, after: int, most: int) -> Ints:
        ahead = self.bound.straight.get(after, self.bound.to_go[after])[:, 0]
        by_place = self.by_place.straight.get(after, self.by_place.to_go[after])
        to_go = longer[GIVEN_BACK] + ahead[longer[STANDING]]
        met = longer[BACK_BY_PLACE] + by_place[self.where[longer[STANDING]], longer[TRACKED]]
        longer[LEAST] = longer[COST] + np.maximum(to_go, met)
        return longer[:, longer[LEAST] <= most]

    def _row(self, best: Ints, kept: list[Ints]) -> list[int]:
        """The moves of a routine from the start, -1 for a corner."""
        table = np.concatenate(kept, axis=1) if kept else np.zeros((3, 0), dtype=np.int64)
        row: list[int] = []
        comes_from, move, corner = (int(best[name]) for name in (COMES_FROM, MOVE, CORNER_AFTER))
        while move >= 0:
            row.extend([-1, move] if corner else [move])
            comes_from, move, corner = (int(number) for number in table[:, comes_from])
        return row[::-1]
