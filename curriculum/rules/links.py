"""Links: the shortest rows of taught figures that mend a broken join.

A search by cost over (stance, figures danced so far). Rows are found in the order of the contract (fewest
beats, then fewest figures, then keys, then place among the given passages): lengthening two rows of the same
number of figures by the same passage never changes which of them comes first, so a state reached a second
time cannot lead to a better row than the first time. Where figures may be used that are still to be taught
(missing_link.py), those in the row are part of the state, and the fewest of them come before everything.
"""

import heapq
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import islice

from curriculum.rules.joins import joins
from curriculum.rules.stance import UNKNOWN, Floor, Passage, Stance, stance_after

_Row = tuple[int, int | Fraction, int, tuple[str, ...], tuple[int, ...]]
"""What rows are compared by: number of different figures still to be taught, beats, number of figures, their
keys, their places among the passages."""


def find_link(
    from_stance: Stance,
    to_stance: Stance,
    passages: Sequence[Passage],
    *,
    floor: Floor,
    taught: Collection[str],
    max_figures: int = 3,
    give: int = 0,
) -> tuple[Passage, ...] | None:
    """The best row of taught figures from one stance into another; () if they join already, None if no row.

    from_stance is read as an exit whose place is the couple's own, to_stance as an entry. Joins on the way
    may need a free change of hold or give. give: eighths the figure that led to from_stance may be turned
    more or less.
    """
    found = find_links(
        from_stance,
        to_stance,
        passages,
        floor=floor,
        taught=taught,
        max_figures=max_figures,
        give=give,
        count=1,
    )
    return found[0] if found else None


def find_links(
    from_stance: Stance,
    to_stance: Stance,
    passages: Sequence[Passage],
    *,
    floor: Floor,
    taught: Collection[str],
    max_figures: int = 3,
    give: int = 0,
    count: int = 3,
) -> tuple[tuple[Passage, ...], ...]:
    """Up to `count` different rows, best first. Where the stances join already there is one: ().

    Two rows are different if a passage in them differs; a passage given twice counts once.
    """
    if count < 1 or max_figures < 0:
        return ()
    if joins(from_stance, to_stance, floor=floor, give=give):
        return ((),)
    known = tuple(passage for passage in dict.fromkeys(passages) if passage.figure in taught)
    search = LinkSearch(known, floor, to_stance, max_figures, taught=taught, turns=count)
    return tuple(islice(search.rows(from_stance, give), count))


class LinkSearch:
    """One search: the passages that may be used, the floor, where to, and how long a row may be.

    taught: keys of figures that need not be taught first. turns: how often a state is left; a row that comes
    to it later is behind as many others whatever follows.
    """

    def __init__(
        self,
        known: Sequence[Passage],
        floor: Floor,
        goal: Stance,
        max_figures: int,
        *,
        taught: Collection[str],
        turns: int,
    ) -> None:
        self.known = known
        self.floor = floor
        self.goal = goal
        self.max_figures = max_figures
        self.turns = turns
        self.new = [frozenset({passage.figure} - set(taught)) for passage in known]
        self.all = range(len(known))
        # A figure that misses the goal wherever it is danced need not be tried as the last one allowed.
        self.ending = [
            place
            for place in self.all
            if self._reaches(stance_after(UNKNOWN, known[place]), known[place].give)
        ]

    def rows(self, start: Stance, give: int) -> Iterator[tuple[Passage, ...]]:
        """Rows of at least one figure from start to goal, best first."""
        waiting: list[tuple[_Row, Stance, int, frozenset[str]]] = []
        if self.ending:
            waiting.append(((0, 0, 0, (), ()), start, give, frozenset()))
        left: Counter[tuple[Stance, int, int, frozenset[str]]] = Counter()
        while waiting:
            row, stance, given, new = heapq.heappop(waiting)
            figures, places = row[2], row[4]
            if places and self._reaches(stance, given):
                yield tuple(self.known[place] for place in places)
            state = (stance, given, figures, new)
            if figures < self.max_figures and left[state] < self.turns:
                left[state] += 1
                for longer in self._longer(row, stance, given, new):
                    heapq.heappush(waiting, longer)

    def _longer(
        self, row: _Row, stance: Stance, give: int, new: frozenset[str]
    ) -> Iterator[tuple[_Row, Stance, int, frozenset[str]]]:
        """The rows with one passage more; of those that may not grow any further, those that end right."""
        _, beats, figures, keys, places = row
        last = figures + 1 == self.max_figures
        for place in self.ending if last else self.all:
            passage = self.known[place]
            if not joins(stance, passage.entry, floor=self.floor, give=give):
                continue
            after = stance_after(stance, passage)
            if not last or self._reaches(after, passage.give):
                news = new | self.new[place]
                longer = (
                    len(news),
                    beats + passage.beats,
                    figures + 1,
                    (*keys, passage.figure),
                    (*places, place),
                )
                yield longer, after, passage.give, news

    def _reaches(self, stance: Stance, give: int) -> bool:
        return joins(stance, self.goal, floor=self.floor, give=give)
