"""The map of a dance's prerequisites: figures in bands of levels, arrows from the needed to the needing.

Only places are worked out, in widths of a figure's box and in rows; sizes and shapes are the picture's. The
method is that of layered drawing (Sugiyama, Tagawa and Toda 1981): rows, then an order within each row with
few crossings by barycentre sweeps, then places that keep the order and pull arrows straight. Equal input
gives an equal map.
"""

from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Final

from curriculum.rules.syllabus import arrows_worth_drawing, teaching_order

WIDEST: Final = 7
"""Figures in one row at most."""
_BEND: Final = 0.18
"""Room an arrow takes in a row that it passes."""
_ORDER_SWEEPS, _PLACE_SWEEPS = 12, 24


@dataclass(frozen=True, slots=True)
class Spot:
    """A figure's place. band: its level. row: from 0, over all bands. x: middle of its box, in box widths."""

    band: int
    row: int
    x: float


@dataclass(frozen=True, slots=True)
class Arrow:
    """From `needed` to `needing`. bends: the rows it passes between the two, with x there."""

    needed: str
    needing: str
    bends: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class PrerequisiteMap:
    """width: in box widths. rows: for each band how many rows it has."""

    spots: Mapping[str, Spot]
    arrows: tuple[Arrow, ...]
    rows: Mapping[int, int]
    width: float


@dataclass(slots=True)
class _Point:
    """What takes room in a row: a figure, or an arrow that passes (key None)."""

    key: str | None
    row: int
    x: float = 0.0

    @property
    def room(self) -> float:
        return _BEND if self.key is None else 1.0


_Rows = list[list[int]]
_Near = Mapping[int, Sequence[int]]


def lay_out(
    needs: Mapping[str, frozenset[str]], bands: Mapping[str, int], *, widest: int = WIDEST
) -> PrerequisiteMap:
    """The map of the figures of `bands` (figure -> its level's rank), in the order of that mapping.

    needs: as in syllabus.py; a figure without a band is left out. CircleError if there is a circle.
    """
    known = {key: needs.get(key, frozenset()) & bands.keys() for key in bands}
    row_of, rows_of_band = _rows(known, bands, widest)
    points = [_Point(key, row_of[key]) for key in bands]
    number = {key: place for place, key in enumerate(bands)}
    arrows = sorted(arrows_worth_drawing(known), key=lambda arrow: (number[arrow[0]], number[arrow[1]]))
    chains = [_chain(points, number[needed], number[needing]) for needed, needing in arrows]
    above, below = _neighbours(chains, points)
    rows: _Rows = [[] for _ in range(sum(rows_of_band.values()))]
    for place, point in enumerate(points):
        rows[point.row].append(place)
    rows = _few_crossings(rows, above, below)
    width = max((sum(points[place].room for place in row) for row in rows), default=0.0)
    _place(rows, points, above, below, width)
    return PrerequisiteMap(
        spots={key: Spot(bands[key], point.row, point.x) for key, point in zip(bands, points, strict=False)},
        arrows=tuple(
            Arrow(*arrow, tuple((points[place].row, points[place].x) for place in chain[1:-1]))
            for arrow, chain in zip(arrows, chains, strict=True)
        ),
        rows=rows_of_band,
        width=width,
    )


def _rows(
    needs: Mapping[str, frozenset[str]], bands: Mapping[str, int], widest: int
) -> tuple[dict[str, int], dict[int, int]]:
    """Each figure's row, and how many each band has: in teaching order, as high up in its band as its needs
    and the room allow."""
    order = teaching_order(needs, {key: (band, place) for place, (key, band) in enumerate(bands.items())})
    filled: dict[int, list[int]] = {band: [] for band in sorted(set(bands.values()))}
    within: dict[str, int] = {}
    for key in order:
        band = bands[key]
        inside = [within[need] + 1 for need in needs[key] if bands[need] == band]
        row = max(inside, default=0)
        while row < len(filled[band]) and filled[band][row] >= widest:
            row += 1
        if row == len(filled[band]):
            filled[band].append(0)
        filled[band][row] += 1
        within[key] = row
    rows_of_band = {band: len(counts) for band, counts in filled.items()}
    starts = dict(zip(rows_of_band, accumulate(rows_of_band.values(), initial=0), strict=False))
    return {key: starts[bands[key]] + within[key] for key in bands}, rows_of_band


def _chain(points: list[_Point], start: int, end: int) -> list[int]:
    """The arrow's points: its two figures and one new point in each row between them."""
    first, last = points[start].row, points[end].row
    step = 1 if last >= first else -1
    chain = [start]
    for row in range(first + step, last, step):
        points.append(_Point(None, row))
        chain.append(len(points) - 1)
    return [*chain, end]


def _neighbours(chains: Iterable[Sequence[int]], points: Sequence[_Point]) -> tuple[_Near, _Near]:
    """For each point those it is joined to in the row above, and in the row below."""
    above: dict[int, list[int]] = defaultdict(list)
    below: dict[int, list[int]] = defaultdict(list)
    for chain in chains:
        for one, other in pairwise(chain):
            upper, lower = (one, other) if points[one].row < points[other].row else (other, one)
            above[lower].append(upper)
            below[upper].append(lower)
    return above, below


def _few_crossings(rows: _Rows, above: _Near, below: _Near) -> _Rows:
    """The best order met while sweeping down and up, each point at the mean of those it is joined to."""
    best, fewest = rows, _crossings(rows, below)
    for sweep in range(_ORDER_SWEEPS):
        if not fewest:
            break
        rows = _swept(rows, above if sweep % 2 == 0 else below, downward=sweep % 2 == 0)
        crossings = _crossings(rows, below)
        if crossings < fewest:
            best, fewest = rows, crossings
    return best


def _swept(rows: _Rows, joined: _Near, *, downward: bool) -> _Rows:
    swept: _Rows = [[] for _ in rows]
    place_of: dict[int, float] = {}
    for number in range(len(rows)) if downward else reversed(range(len(rows))):
        row = rows[number]
        # A point joined to none keeps its share of the row.
        own = {point: (place + 0.5) / len(row) for place, point in enumerate(row)}
        key = _mean_of(place_of, joined, own)
        swept[number] = sorted(row, key=key)
        place_of |= {point: (place + 0.5) / len(row) for place, point in enumerate(swept[number])}
    return swept


def _mean_of(
    place_of: Mapping[int, float], joined: _Near, own: Mapping[int, float]
) -> Callable[[int], float]:
    def mean(point: int) -> float:
        near = joined.get(point, ())
        return sum(place_of[other] for other in near) / len(near) if near else own[point]

    return mean


def _crossings(rows: _Rows, below: _Near) -> int:
    """Pairs of arrows that cross between two neighbouring rows."""
    crossings = 0
    for upper, lower in pairwise(rows):
        place_of = {point: place for place, point in enumerate(lower)}
        seen: list[int] = []
        for point in upper:
            ends = sorted(place_of[other] for other in below.get(point, ()))
            crossings += sum(len(seen) - bisect_right(seen, end) for end in ends)
            for end in ends:
                insort(seen, end)
    return crossings


def _place(rows: _Rows, points: Sequence[_Point], above: _Near, below: _Near, width: float) -> None:
    """Sets every x: near the mean of what a point is joined to, in the row's order, without overlaps."""
    for row in rows:
        edge = (width - sum(points[place].room for place in row)) / 2
        for place in row:
            points[place].x = edge + points[place].room / 2
            edge += points[place].room
    for sweep in range(_PLACE_SWEEPS):
        for row in rows if sweep % 2 == 0 else reversed(rows):
            wanted = []
            for place in row:
                near = [*above.get(place, ()), *below.get(place, ())]
                wanted.append(sum(points[other].x for other in near) / len(near) if near else points[place].x)
            _settle(row, points, wanted, width - sum(points[place].room for place in row))


def _settle(row: Sequence[int], points: Sequence[_Point], wanted: Sequence[float], spare: float) -> None:
    """Least squares from the wanted places, with the row's order and rooms kept (pooling neighbours)."""
    rooms = [points[place].room for place in row]
    edges = list(accumulate(rooms, initial=0.0))
    middles = [edge + room / 2 for edge, room in zip(edges, rooms, strict=False)]
    pools: list[tuple[float, int]] = []
    for want, middle in zip(wanted, middles, strict=True):
        total, count = want - middle, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, many = pools.pop()
            total, count = total + before, count + many
        pools.append((total, count))
    shifts = [total / count for total, count in pools for _ in range(count)]
    for place, middle, shift in zip(row, middles, shifts, strict=True):
        points[place].x = middle + min(max(shift, 0.0), spare)
