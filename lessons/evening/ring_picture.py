"""The ring of partners as it stands in the first round, as a picture: places on a circle, who moves outside
or inside, and one arrow for where they go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lessons.rules.evening_rotation import Dancer, HallRotation, Place

APART = 58.0
"""Least distance between two places, so that names in their shapes can be read."""
SIDE = 52.0
"""From the ring to those who stand inside of it and outside."""
SHAPE = 20.0


@dataclass(frozen=True, slots=True)
class Mark:
    """Somebody's shape, or a gap. x, y: its middle; role: "L", "F" or "gap"; late: comes later."""

    x: float
    y: float
    role: str
    label: str = ""
    late: bool = False


@dataclass(frozen=True, slots=True)
class RingPicture:
    """size: width and height. radius: of the ring. arrow: a path; head: its tip, as points. words: the same
    said in a sentence for each place."""

    size: float
    radius: float
    marks: tuple[Mark, ...]
    arrow: str
    head: str
    words: tuple[str, ...]

    @property
    def middle(self) -> float:
        return self.size / 2

    @property
    def is_large(self) -> bool:
        """Too large to be shrunk to a phone and still be read."""
        return self.size > 460


def ring_picture(rotation: HallRotation, *, followers_move: bool) -> RingPicture | None:
    """None where fewer than two stand in the ring. Whoever moves goes clockwise."""
    places = rotation.ring
    if len(places) < 2 or not (rotation.leaders and rotation.followers):
        return None
    more_leaders = len(rotation.leaders) > len(rotation.followers)
    larger_moves = followers_move != more_leaders
    radius = max(SIDE + APART, APART * len(places) / math.tau)
    middle = radius + SIDE + SHAPE + 6
    turn = math.tau / len(places) * (1 if larger_moves else -1)
    outer, inner = ("L", "F") if more_leaders else ("F", "L")

    def at(place: float, distance: float) -> tuple[float, float]:
        angle = place * turn - math.pi / 2
        return round(middle + distance * math.cos(angle), 1), round(middle + distance * math.sin(angle), 1)

    marks = [_mark(at(place, radius + SIDE / 2), row.moves, outer) for place, row in enumerate(places)]
    marks += [_mark(at(place, radius - SIDE / 2), row.stands, inner) for place, row in enumerate(places)]
    along = radius + (SIDE + SHAPE - 14 if larger_moves else -SIDE - SHAPE + 14)
    onwards = 1 if larger_moves else -1
    return RingPicture(
        size=round(2 * middle, 1),
        radius=round(radius, 1),
        marks=tuple(marks),
        arrow=_arc(at(0.12 * onwards, along), at(0.82 * onwards, along), abs(along)),
        head=_tip(at(0.82 * onwards, along), at(0.97 * onwards, along)),
        words=tuple(_said(places)),
    )


def _mark(spot: tuple[float, float], dancer: Dancer | None, role: str) -> Mark:
    if dancer is None:
        return Mark(*spot, "gap")
    # Three letters fit into a shape; guests have no name but a number.
    label = dancer.name[:3] if dancer.key >= 0 else f"g{-dancer.key}"
    return Mark(*spot, role, label, dancer.from_round > 1)


def _arc(start: tuple[float, float], end: tuple[float, float], radius: float) -> str:
    return f"M{start[0]} {start[1]}A{radius:.1f} {radius:.1f} 0 0 1 {end[0]} {end[1]}"


def _tip(base: tuple[float, float], point: tuple[float, float]) -> str:
    """A triangle from `base` to `point`."""
    ahead = (point[0] - base[0], point[1] - base[1])
    length = math.hypot(*ahead) or 1.0
    across = (-ahead[1] / length * 6, ahead[0] / length * 6)
    tip = (base[0] + ahead[0] / length * 11, base[1] + ahead[1] / length * 11)
    corners = ((base[0] + across[0], base[1] + across[1]), (base[0] - across[0], base[1] - across[1]), tip)
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def _said(places: Sequence[Place]) -> list[str]:
    return [
        f"{row.moves.name} {f'with {row.stands.name}' if row.stands else 'at a gap'}"
        for row in places
        if row.moves
    ]
