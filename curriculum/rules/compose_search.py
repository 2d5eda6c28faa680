"""The search for routines: length by length, keeping the most promising openings.

Every opening kept can be danced to its end with all that is still missing (compose_reach.py), so that even a
narrow search ends with a routine. Openings that cannot cost less than what was found are dropped for good; a
search that dropped no others has proved that there is nothing better.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from curriculum.rules.compose_bound import SCALE, Bound
from curriculum.rules.compose_net import Net, Run
from curriculum.rules.compose_reach import NO_FIGURE, Completions


@dataclass(slots=True, eq=False)
class _Opening:
    """cost, given_back: in thousandths, of what was danced. seen: figures, one bit each; tracked: the bound's
    own bits of them; missing: required figures, the completions' bits. place: after the corner, if any."""

    place: int
    last: int
    seen: int
    cost: int
    given_back: int
    tracked: int
    missing: int
    before: _Opening | None
    run: Run | None
    corner: bool
    least: int

    def row(self) -> list[Run | None]:
        """The runs from the start; None = a corner."""
        row: list[Run | None] = []
        opening: _Opening | None = self
        while opening is not None and opening.run is not None:
            if opening.corner:
                row.append(None)
            row.append(opening.run)
            opening = opening.before
        return row[::-1]


@dataclass(frozen=True, slots=True)
class Found:
    """What a search found. row: runs, None = a corner; None where nothing costs little enough. cost: in
    whole costs. complete: nothing better was passed over."""

    row: list[Run | None] | None
    cost: int
    complete: bool


class Search:
    """A search over one net. required: numbers of figures, all that must be in."""

    def __init__(
        self,
        net: Net,
        completions: Completions,
        bound: Bound,
        required: frozenset[int],
        chance: random.Random,
        time_is_over: Callable[[], bool],
    ) -> None:
        self.net, self.completions, self.bound = net, completions, bound
        self.required = sum(1 << figure for figure in required)
        self.chance = chance
        self.time_is_over = time_is_over

    def best_below(self, cost: int, width: int) -> Found:
        """The best routine that costs less, keeping at most `width` openings of each length."""
        length = self.net.length or 0
        openings: list[dict[tuple[int, int, int], _Opening]] = [{} for _ in range(length + 1)]
        given_back = -sum(self.bound.given_back)
        start = _Opening(
            0, NO_FIGURE, 0, 0, given_back, 0, self.completions.missing_at_start, None, None, False, 0
        )
        openings[0][0, NO_FIGURE, 0] = start
        complete = True
        most = (cost - 1) * SCALE
        for danced in range(length):
            here = list(openings[danced].values())
            if len(here) > width:
                here = self._most_promising(here, width)
                complete = False
            openings[danced] = {}
            if self.time_is_over():
                return Found(None, cost, False)
            for opening in here:
                for longer, after in self._longer(opening, danced, most):
                    key = (longer.place, longer.last, longer.seen)
                    known = openings[after].get(key)
                    if known is None or longer.cost < known.cost:
                        openings[after][key] = longer
        whole = [
            opening
            for opening in openings[length].values()
            if self.net.ends[opening.place] and not self.required & ~opening.seen and opening.cost <= most
        ]
        if not whole:
            return Found(None, cost, complete)
        best = min(whole, key=lambda opening: opening.cost)
        return Found(best.row(), best.cost // SCALE, complete)

    def _most_promising(self, openings: list[_Opening], width: int) -> list[_Opening]:
        ranked = [(opening.least, self.chance.random(), opening) for opening in openings]
        ranked.sort(key=lambda entry: entry[:2])
        return [opening for _, _, opening in ranked[:width]]

    def _longer(self, opening: _Opening, danced: int, most: int) -> list[tuple[_Opening, int]]:
        """The opening with one run more, where it can still end well and cost no more than `most`."""
        net, bound, scale = self.net, self.bound, self.bound.scale
        length = net.length or 0
        found = []
        for run in net.leaving[opening.place]:
            after, figure = danced + run.length, run.figure
            if figure == opening.last or after > length:
                continue
            bit = 1 << figure
            if opening.seen & bit:
                cost, given_back = opening.cost + scale.again, opening.given_back
            else:
                cost = opening.cost - scale.new[figure]
                given_back = opening.given_back + bound.given_back[figure]
            tracked = opening.tracked | bound.bits.get(figure, 0)
            missing = opening.missing & ~self.completions.bits.get(figure, 0)
            places = [run.end]
            if net.has_corner(after) and net.corner[run.end] != run.end:
                places.append(net.corner[run.end])
            for place in places:
                least = cost + given_back + int(bound.to_go[after, place, tracked])
                if least <= most and self.completions.possible(after, place, figure, missing):
                    longer = _Opening(
                        place, figure, opening.seen | bit, cost, given_back, tracked, missing,
                        opening, run, place != run.end, least,
                    )  # fmt: skip
                    found.append((longer, after))
        return found
