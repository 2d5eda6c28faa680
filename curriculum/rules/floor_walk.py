"""One role's walk over the floor: where each foot of a chart's rows comes down.

The floor is measured in foot lengths. Direction 0 is up (y grows), and directions are counted in eighths
clockwise from it. How a chart's words become places is said in footprints.py.
"""

import cmath
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from curriculum.rules.alignment import EIGHTHS, turned
from curriculum.rules.chart_findings import Role
from curriculum.rules.step_words import Manner, Way, way_of
from curriculum.rules.steps import Step, other_foot

HALF_STANCE: Final = 0.24
"""From the middle of the body to the middle of either foot, feet together."""
_QUARTER: Final = EIGHTHS // 4
_PAST, _BEFORE = 0.3, 0.5


@dataclass(frozen=True, slots=True)
class Footprint:
    """Where a foot comes down. row: of the chart, from 0; None = where it stands before the first.

    number: which print of its role, from 1 (0 at the start). direction: eighths, 0 up, clockwise, below 8.
    weight: False for a touch.
    """

    role: Role
    row: int | None
    number: int
    foot: str
    count: str
    x: float
    y: float
    direction: int
    weight: bool
    manner: Manner

    @property
    def place(self) -> complex:
        """x and y as one number."""
        return complex(self.x, self.y)


@dataclass(frozen=True, slots=True)
class Track:
    """One role's way. start: left and right foot before it. facing, x, y: direction and middle of the body
    at the end.
    """

    role: Role
    start: tuple[Footprint, Footprint]
    prints: tuple[Footprint, ...]
    facing: int
    x: float
    y: float

    @property
    def path(self) -> tuple[Footprint, ...]:
        """The prints that take weight, in order: the way the body goes."""
        return tuple(mark for mark in self.prints if mark.weight)


@dataclass(frozen=True, slots=True)
class Body:
    """Where a role begins: middle of the body, direction, and the foot that is free."""

    centre: complex
    facing: int
    free: str


@dataclass(frozen=True, slots=True)
class Walk:
    """How a role goes: its rows with the way forward that the hold asks for, the slot it keeps to (or None),
    whether it turns before a step to the side, and how much longer each travelling step is than usual.
    """

    role: Role
    steps: Sequence[Step]
    ways_forward: Sequence[float]
    slot: complex | None = None
    turns_first: bool = False
    longer: complex = 0j


def unit(direction: float) -> complex:
    """One foot length into a direction: 0 is up, counted in eighths clockwise."""
    return cmath.exp(1j * cmath.pi * (0.5 - direction / 4))


def walked(walk: Walk, body: Body) -> Track:
    feet = {foot: body.centre + _beside(foot, body.facing) for foot in ("L", "R")}
    start = tuple(
        _print(walk.role, None, 0, foot, "", feet[foot], body.facing, False, Manner.STILL) for foot in feet
    )
    standing, facing = other_foot(body.free), body.facing
    prints: list[Footprint] = []
    for row, step in enumerate(walk.steps):
        way, before = way_of(step), facing
        facing = turned(before, step.turn)
        if step.foot is None or way.manner is Manner.STILL:
            continue
        feet[step.foot] = _lands(walk, row, way, feet, standing, before, facing)
        prints.append(
            _print(
                walk.role,
                row,
                len(prints) + 1,
                step.foot,
                step.count,
                feet[step.foot],
                facing,
                step.takes_weight,
                way.manner,
            )
        )
        if step.takes_weight:
            standing = step.foot
    centre = feet[standing] - _beside(standing, facing)
    return Track(walk.role, (start[0], start[1]), tuple(prints), facing, centre.real, centre.imag)


def _print(
    role: Role,
    row: int | None,
    number: int,
    foot: str,
    count: str,
    place: complex,
    direction: int,
    weight: bool,
    manner: Manner,
) -> Footprint:
    return Footprint(role, row, number, foot, count, place.real, place.imag, direction, weight, manner)


def _beside(foot: str, facing: int) -> complex:
    return unit(facing + _own_side(foot)) * HALF_STANCE


def _own_side(foot: str) -> int:
    return _QUARTER if foot == "R" else -_QUARTER


def _lands(
    walk: Walk, row: int, way: Way, feet: Mapping[str, complex], standing: str, before: int, after: int
) -> complex:
    """Where the row's foot comes down."""
    foot = walk.steps[row].foot or standing
    own_side = unit(after + _own_side(foot))
    if way.manner is Manner.STAYS:
        return feet[foot]
    if way.manner is Manner.CROSSES:
        return feet[standing] - own_side * _PAST + unit(after) * (_BEFORE if way.front else -_BEFORE)
    if way.manner is Manner.HOOKS:
        return feet[standing] - unit(after) * (_BEFORE + HALF_STANCE)
    centre = feet[standing] - _beside(standing, after)
    place = centre + _beside(foot, after)
    if way.manner is Manner.BESIDE:
        return place
    if way.across:
        place -= own_side * (2 * HALF_STANCE + _PAST)
    stride = _stride(walk, row, way, before, after)
    return place + stride + (walk.longer if walk.steps[row].takes_weight else 0)


def _stride(walk: Walk, row: int, way: Way, before: int, after: int) -> complex:
    step = walk.steps[row]
    half_way = before + step.turn / 2
    stepped = after if way.turned_first or abs(step.turn) <= _QUARTER else before
    forward = unit(stepped + walk.ways_forward[row])
    if walk.slot is not None:
        looks = (after, half_way, before) if way.turned_first else (half_way, before)
        forward = _along(walk.slot, *looks) or forward
    sideways = stepped if walk.turns_first or way.turned_first else half_way
    return forward * way.forward + unit(sideways + _own_side(step.foot or "L")) * way.sideways


def _along(slot: complex, *looks: float) -> complex | None:
    """Up or down the slot, whichever is nearer to where the body looks; None if it looks only across."""
    for direction in looks:
        ahead = (unit(direction) * slot.conjugate()).real
        if abs(ahead) > 0.1:
            return slot if ahead > 0 else -slot
    return None
