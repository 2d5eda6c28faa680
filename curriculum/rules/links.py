"""Links: the shortest rows of taught figures that mend a broken join.

A search by cost over (stance, figures danced so far). Rows are found in the order of the contract (fewest
beats, then fewest figures, then keys, then place among the given passages): lengthening two rows of the same
number of figures by the same passage never changes which of them comes first, so a state reached a second
time cannot lead to a better row than the first time.
"""

import heapq
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from curriculum.rules.joins import joins
from curriculum.rules.stance import UNKNOWN, Floor, Passage, Stance, stance_after

_Row = tuple[int | Fraction, int, tuple[str, ...], tuple[int, ...]]
"""What rows are compared by: beats, number of figures, their keys, their places among the passages."""


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
    search = _Search(known, floor, to_stance, max_figures, count)
    return tuple(tuple(known[place] for place in row) for row in search.rows(from_stance, give))


class _Search:
    """One search: the passages that may be used, the floor, where to, and how much is wanted."""

    def __init__(
        self, known: Sequence[Passage], floor: Floor, goal: Stance, max_figures: int, count: int
    ) -> None:
        self.known = known
        self.floor = floor
        self.goal = goal
        self.max_figures = max_figures
        self.count = count
        self.all = range(len(known))
        # A figure that misses the goal wherever it is danced need not be tried as the last one allowed.
        self.ending = [
            place
            for place in self.all
            if self._reaches(stance_after(UNKNOWN, known[place]), known[place].give)
        ]

    def rows(self, start: Stance, give: int) -> Iterator[tuple[int, ...]]:
        """Rows from start to goal as places in `known`, best first, at most `count`.

        A state is left at most `count` times: a row that comes to it later is behind `count` others whatever
        follows.
        """
        waiting: list[tuple[_Row, Stance, int]] = [((0, 0, (), ()), start, give)]
        left: Counter[tuple[Stance, int, int]] = Counter()
        found = 0
        while self.ending and waiting and found < self.count:
            row, stance, given = heapq.heappop(waiting)
            figures, places = row[1], row[3]
            if places and self._reaches(stance, given):
                yield places
                found += 1
            state = (stance, given, figures)
            if figures < self.max_figures and left[state] < self.count:
                left[state] += 1
                for longer in self._longer(row, stance, given):
                    heapq.heappush(waiting, longer)

    def _longer(self, row: _Row, stance: Stance, give: int) -> Iterator[tuple[_Row, Stance, int]]:
        """The rows with one passage more; of those that may not grow any further, those that end right."""
        beats, figures, keys, places = row
        last = figures + 1 == self.max_figures
        for place in self.ending if last else self.all:
            passage = self.known[place]
            if not joins(stance, passage.entry, floor=self.floor, give=give):
                continue
            after = stance_after(stance, passage)
            if not last or self._reaches(after, passage.give):
                longer = (beats + passage.beats, figures + 1, (*keys, passage.figure), (*places, place))
                yield longer, after, passage.give

    def _reaches(self, stance: Stance, give: int) -> bool:
        return joins(stance, self.goal, floor=self.floor, give=give)
