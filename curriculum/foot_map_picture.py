"""Where everything of a foot map lies on its picture: prints, their numbers and counts, the path, the slot.

Only places and sizes; shapes and colours are the template's and the stylesheet's. One unit is one CSS pixel
when the picture is shown at its own width.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from curriculum.rules.footprints import FloorMap, Footprint, Track, unit

FOOT = 62
"""Length of a print."""
MARGIN = 44
# At the left for the line of dance, at the top for the slot's name.
ARROW_ROOM, SLOT_ROOM = 34, 16
LETTER, LINE = 8.6, 18
# In foot lengths: prints this near are one; toes, middle and heel of two prints are kept so far apart, by
# moving either of them at most so far.
SAME_SPOT, TOO_NEAR, MOST_MOVED = 0.14, 0.4, 0.3
ALONG = (0.31, 0.0, -0.31)
MOVES = 10
# Where number and foot stand on a print, from its middle towards the toes.
BALL, HEEL = 13.0, -20.0


Way = tuple[str, complex, complex]
"""Role, and from where to where the weight goes, in units of the picture."""


@dataclass
class Spot:
    """A print as drawn. `numbers`, `counts`: all the steps that come down on it. Places in foot lengths."""

    first: Footprint
    at: complex
    numbers: list[int] = field(default_factory=list)
    counts: list[str] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)

    @property
    def is_start(self) -> bool:
        return not self.numbers


@dataclass(frozen=True)
class Text:
    text: str
    x: float
    y: float


@dataclass(frozen=True)
class Mark:
    """A print on the picture. `angle`: degrees clockwise. `label`: its counts, beside it."""

    role: str
    foot: str
    kind: str
    x: float
    y: float
    angle: int
    numbers: tuple[Text, ...]
    foot_x: float
    foot_y: float
    rows: str
    label: Text | None = None


@dataclass(frozen=True)
class Piece:
    """A piece of the path with its arrowhead, as the d of an SVG path."""

    role: str
    line: str
    head: str


@dataclass(frozen=True)
class FootPicture:
    """`key`: "leader", "follower" or "couple". `middle`: x of the slot; None where there is none."""

    key: str
    width: int
    height: int
    marks: tuple[Mark, ...]
    pieces: tuple[Piece, ...]
    middle: float | None
    has_line_of_dance: bool
    has_counts: bool


def draw(floor: FloorMap, tracks: Sequence[Track], key: str) -> FootPicture:
    """The picture of these tracks of the map."""
    spots = [spot for track in tracks for spot in _spots(track)]
    _move_apart(spots)
    ways = [way for track in tracks for way in _ways(track, spots)]
    labels = _labels(spots, ways)
    points = [*(spot.at * FOOT for spot in spots), *(place for _, place in labels.values())]
    left = min(point.real for point in points) - MARGIN - (ARROW_ROOM if floor.in_the_room else 0)
    right = max(point.real for point in points) + MARGIN
    top = max(point.imag for point in points) + MARGIN + (SLOT_ROOM if floor.floor == "slot" else 0)
    bottom = min(point.imag for point in points) - MARGIN
    if floor.floor == "slot":
        left, right = min(left, -FOOT), max(right, FOOT)
    corner = complex(left, top)
    return FootPicture(
        key=key,
        width=round(right - left),
        height=round(top - bottom),
        marks=tuple(_mark(spot, corner, *labels.get(place, ("", 0j))) for place, spot in enumerate(spots)),
        pieces=tuple(_piece(way, corner) for way in ways),
        middle=-left if floor.floor == "slot" else None,
        has_line_of_dance=floor.in_the_room,
        has_counts=bool(labels),
    )


def _spots(track: Track) -> list[Spot]:
    """The prints, those on one spot joined; a place of the start that is stepped on later is that print."""
    spots: list[Spot] = []
    for mark in track.prints:
        spot = next((spot for spot in spots if _same(spot.first, mark)), None)
        if spot is None:
            spot = Spot(mark, mark.place)
            spots.append(spot)
        spot.numbers.append(mark.number)
        spot.counts.append(mark.count)
        if mark.row is not None:
            spot.rows.append(mark.row)
    starts = [Spot(mark, mark.place) for mark in track.start]
    return [start for start in starts if not any(_same(spot.first, start.first) for spot in spots)] + spots


def _same(one: Footprint, other: Footprint) -> bool:
    """Whether both are one print on the floor; a touch and a step are not."""
    is_start = one.row is None or other.row is None
    return (
        (one.role, one.foot, one.direction) == (other.role, other.foot, other.direction)
        and (is_start or one.weight == other.weight)
        and abs(one.place - other.place) < SAME_SPOT
    )


def _move_apart(spots: Sequence[Spot]) -> None:
    """Prints that lie on each other are moved a little, both alike and not far, so that each can be read."""
    axes = [unit(spot.first.direction) for spot in spots]
    for _ in range(MOVES):
        moved = False
        for number, one in enumerate(spots):
            for before, other in enumerate(spots[:number]):
                apart = one.at - other.at
                if abs(apart) > 2 * ALONG[0] + TOO_NEAR:
                    continue
                gap = _gap(apart, axes[number], axes[before])
                if gap < TOO_NEAR - 0.01:
                    way = apart / abs(apart) if abs(apart) > 0.05 else axes[number] * -1j
                    push = way * (TOO_NEAR - gap) / 2
                    one.at, other.at = _held(one, one.at + push), _held(other, other.at - push)
                    moved = True
        if not moved:
            return


def _gap(apart: complex, axis: complex, other_axis: complex) -> float:
    """Between the nearest parts of two prints whose middles lie `apart`."""
    return min(abs(apart + axis * mine - other_axis * theirs) for mine in ALONG for theirs in ALONG)


def _held(spot: Spot, at: complex) -> complex:
    off = at - spot.first.place
    return at if abs(off) <= MOST_MOVED else spot.first.place + off / abs(off) * MOST_MOVED


def _labels(spots: Sequence[Spot], ways: Iterable[Way]) -> dict[int, tuple[str, complex]]:
    """What stands beside a print, and where: the place around it that covers least of the others."""
    if all(_is_told(spot) for spot in spots):
        return {}
    taken: list[tuple[complex, float]] = [
        (spot.at * FOOT + unit(spot.first.direction) * FOOT * along, 14.0)
        for spot in spots
        for along in ALONG
    ]
    taken += [(start + (end - start) * part / 6, 3.0) for _, start, end in ways for part in range(1, 7)]
    labels: dict[int, tuple[str, complex]] = {}
    for number, spot in enumerate(spots):
        text = _label(spot)
        if not text:
            continue
        width = len(text) * LETTER
        best = min(_around(spot, width), key=lambda place: _covers(place, width, taken))
        labels[number] = (text, best)
        taken += [(best + along * width / 3, LINE / 2) for along in (-1, 0, 1)]
    return labels


def _is_told(spot: Spot) -> bool:
    """Whether number and count are the same, so that nothing need stand beside the print."""
    return spot.is_start or (len(spot.numbers) == 1 and [str(spot.numbers[0])] == spot.counts)


def _label(spot: Spot) -> str:
    if spot.is_start:
        return ""
    return " ".join(spot.counts) if len(spot.numbers) > 1 else spot.counts[0]


def _around(spot: Spot, width: float) -> list[complex]:
    middle, direction = spot.at * FOOT, spot.first.direction
    own_side = 2 if spot.first.foot == "R" else -2
    places = []
    for turn in (own_side, own_side - 1, own_side + 1, 0, 4, -own_side):
        way = unit(direction + turn)
        along = unit(direction)
        out = 17 + abs((way * along.conjugate()).real) * 22
        places.append(middle + way * (out + abs(way.real) * width / 2 + abs(way.imag) * LINE / 2))
    return places


def _covers(place: complex, width: float, taken: Iterable[tuple[complex, float]]) -> float:
    """How much of what is there a label at this place would cover."""
    covered = 0.0
    for middle, radius in taken:
        across = width / 2 + radius - abs((middle - place).real)
        down = LINE / 2 + radius - abs((middle - place).imag)
        if across > 0 and down > 0:
            covered += across * down
    return covered


def _mark(spot: Spot, corner: complex, label: str, label_at: complex) -> Mark:
    mark, at = spot.first, spot.at * FOOT
    heel = at + unit(mark.direction) * HEEL
    return Mark(
        role=mark.role,
        foot=mark.foot,
        kind="start" if spot.is_start else "step" if mark.weight else "touch",
        x=_x(at, corner),
        y=_y(at, corner),
        angle=mark.direction * 45,
        numbers=tuple(_numbers(spot, corner)),
        foot_x=_x(heel, corner),
        foot_y=_y(heel, corner),
        rows=" ".join(map(str, spot.rows)),
        label=Text(label, _x(label_at, corner), _y(label_at, corner)) if label else None,
    )


def _numbers(spot: Spot, corner: complex) -> Iterable[Text]:
    """The numbers on the ball of the foot: one, or two one behind the other; of more, the first and dots."""
    said = [str(number) for number in spot.numbers]
    if len(said) > 2:
        said = [said[0], "…"]
    along = (BALL,) if len(said) == 1 else (BALL + 8, BALL - 8)
    places = [spot.at * FOOT + unit(spot.first.direction) * far for far in along]
    # The first is above, or on the left, whichever way the foot points.
    places.sort(key=lambda at: (-round(at.imag), at.real))
    for text, at in zip(said, places, strict=False):
        yield Text(text, _x(at, corner), _y(at, corner))


def _x(at: complex, corner: complex) -> float:
    return round((at - corner).real, 1)


def _y(at: complex, corner: complex) -> float:
    return round((corner - at).imag, 1)


def _ways(track: Track, spots: Sequence[Spot]) -> Iterable[Way]:
    """From each print that takes weight to the next, where that is further than a foot's width."""
    drawn = {
        number: spot.at * FOOT for spot in spots if spot.first.role == track.role for number in spot.numbers
    }
    for one, other in pairwise(track.path):
        start, end = drawn[one.number], drawn[other.number]
        if abs(end - start) >= FOOT * 0.6:
            yield track.role, start, end - (end - start) / abs(end - start) * 16


def _piece(way: Way, corner: complex) -> Piece:
    role, start, end = way
    along = (end - start) / abs(end - start)
    head = [end - along * 9 * cmath.exp(1j * turn) for turn in (0.45, -0.45)]
    said = [f"{_x(point, corner)} {_y(point, corner)}" for point in (start, end, *head)]
    return Piece(role, f"M{said[0]}L{said[1]}", f"M{said[2]}L{said[1]}L{said[3]}")
