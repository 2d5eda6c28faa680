"""A chart's footprints on the floor: where each foot of each role comes down, and how it points.

The floor is measured in foot lengths. Direction 0 is up (y grows), and directions are counted in eighths
clockwise from it, as in the room: on a travelling floor up is the line of dance, on a slot up is where the
leader looks at the end; otherwise it is where the leader looks at the start.

A chart says into which direction a foot goes and how far the body has turned when it gets there, but not
how long the step is, nor when within it the body turns. Here (common practice, no source):

* strides have the lengths of step_words;
* the body turns about the standing foot. A step to the side goes half way through its turn; a step forward
  or back follows the new direction up to a quarter of turn, and the old one beyond that, for then the foot
  is set first and turned upon. In a dance on the spot so does a step to the side: one turns, then steps;
* on a slot the follower's steps forward and back stay on the slot;
* travelling steps are made a little longer or shorter, all alike, so that the couple ends at the distance of
  its hold: both roles' alike where the dance travels, otherwise the follower's, and the leader's only to be
  back on the slot. A chart whose turns do not fit its hold is drawn as it stands.
"""

import cmath
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from curriculum.rules.alignment import EIGHTHS, turned
from curriculum.rules.chart_couple import Hold
from curriculum.rules.chart_findings import Role
from curriculum.rules.couple_standing import Standing, standing_in
from curriculum.rules.stance import Stance
from curriculum.rules.step_words import Manner, Way, way_of
from curriculum.rules.steps import Step, free_foot_before, net_turn, other_foot

FloorUse = Literal["travels", "slot", "spot"]

HALF_STANCE: Final = 0.24
"""From the middle of the body to the middle of either foot, feet together."""
_QUARTER: Final = EIGHTHS // 4
_PAST, _BEFORE = 0.3, 0.5
_MOST_MENDED: Final = 1.0
"""Foot lengths a step is made longer or shorter at most."""


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
class FloorMap:
    """Both roles' ways. in_the_room: up is the line of dance; otherwise up is only up."""

    leader: Track
    follower: Track
    floor: FloorUse
    in_the_room: bool


@dataclass(frozen=True, slots=True)
class _Body:
    """Where a role begins: middle of the body, direction, and the foot that is free."""

    centre: complex
    facing: int
    free: str


@dataclass(frozen=True, slots=True)
class _Walk:
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


def footprints(
    leader: Sequence[Step],
    follower: Sequence[Step],
    *,
    entry: Stance,
    exit: Stance,  # noqa: A002 (the trade's word, and the passage's)
    holds: Mapping[str, Hold],
    floor: FloorUse,
) -> FloorMap:
    """The map of a chart danced from `entry` to `exit`. holds: the dance's, by the keys the chart uses."""
    in_the_room = floor == "travels" and entry.place is not None
    facing = (entry.place or 0) if in_the_room else 0
    if floor == "slot":
        facing = turned(0, -net_turn(leader))
    before, after = _standing(entry.hold, holds), _standing(exit.hold, holds)
    leads, follows = _bodies(leader, follower, entry, facing, before, holds)
    led, followed = _ways_forward(leader, follower, entry, holds)
    lead_walk = _Walk("leader", leader, led, turns_first=floor == "spot")
    lead = _walked(lead_walk, leads)
    follow_walk = replace(
        lead_walk,
        role="follower",
        steps=follower,
        ways_forward=followed,
        slot=unit(0) if floor == "slot" else None,
    )
    if floor == "slot":
        lead = _mended(lead_walk, leads, lead, complex(-lead.x, 0))
    follow = _walked(follow_walk, follows)
    if _fits(lead, follow, exit.hold, holds):
        if floor == "travels":
            lead = _mended(lead_walk, leads, lead, -_short(lead, follow, after) / 2)
        follow = _mended(follow_walk, follows, follow, _short(lead, follow, after))
    return FloorMap(lead, follow, floor, in_the_room)


def _bodies(
    leader: Sequence[Step],
    follower: Sequence[Step],
    entry: Stance,
    facing: int,
    standing: Standing,
    holds: Mapping[str, Hold],
) -> tuple[_Body, _Body]:
    """Where leader and follower stand when they begin."""
    free = entry.foot or free_foot_before(leader) or "L"
    same_foot = entry.hold is not None and entry.hold in holds and holds[entry.hold].same_foot
    followers = free_foot_before(follower) or (free if same_foot else other_foot(free))
    place = unit(facing + standing.bearing) * standing.distance
    return _Body(0j, facing, free), _Body(place, turned(facing, standing.facing), followers)


def _standing(hold: str | None, holds: Mapping[str, Hold]) -> Standing:
    known = holds.get(hold or "")
    return standing_in(hold or "", known.facing if known else None)


def _fits(leader: Track, follower: Track, hold: str | None, holds: Mapping[str, Hold]) -> bool:
    facing = holds[hold].facing if hold is not None and hold in holds else None
    return facing is not None and turned(leader.facing, facing) == follower.facing


def _ways_forward(
    leader: Sequence[Step], follower: Sequence[Step], entry: Stance, holds: Mapping[str, Hold]
) -> tuple[list[float], list[float]]:
    """For each row of either role, how many eighths to the right of the body "forward" is.

    Only in a V-shaped hold is that not straight on. The leader's chart says which hold it is.
    """
    changes = [(0, entry.hold)]
    tick = 0
    for step in leader:
        tick += step.ticks
        if step.hold is not None:
            changes.append((tick, step.hold))

    def along(steps: Sequence[Step], is_leader: bool) -> list[float]:
        ways, start = [], 0
        for step in steps:
            hold = next(hold for since, hold in reversed(changes) if since <= start)
            standing = _standing(hold, holds)
            leaders = standing.shared_way if standing.v_shaped else 0.0
            ways.append(leaders if is_leader else -leaders)
            start += step.ticks
        return ways

    return along(leader, True), along(follower, False)


def _short(leader: Track, follower: Track, after: Standing) -> complex:
    """How far the follower is from where the hold wants them at the end."""
    wanted = complex(leader.x, leader.y) + unit(leader.facing + after.bearing) * after.distance
    return wanted - complex(follower.x, follower.y)


def _mended(walk: _Walk, body: _Body, track: Track, short: complex) -> Track:
    """The track with its travelling steps so much longer that it ends `short` further on, as far as that goes."""
    probe = _walked(replace(walk, longer=1 + 0j), body)
    effect = probe.x - track.x
    if abs(effect) < 0.5:
        return track
    longer = short / effect
    return _walked(replace(walk, longer=longer / max(1.0, abs(longer) / _MOST_MENDED)), body)


def _walked(walk: _Walk, body: _Body) -> Track:
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
    walk: _Walk, row: int, way: Way, feet: Mapping[str, complex], standing: str, before: int, after: int
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


def _stride(walk: _Walk, row: int, way: Way, before: int, after: int) -> complex:
    step = walk.steps[row]
    half_way = before + step.turn / 2
    stepped = after if abs(step.turn) <= _QUARTER else before
    forward = unit(stepped + walk.ways_forward[row])
    if walk.slot is not None:
        forward = _along(walk.slot, half_way, before) or forward
    sideways = stepped if walk.turns_first else half_way
    return forward * way.forward + unit(sideways + _own_side(step.foot or "L")) * way.sideways


def _along(slot: complex, *looks: float) -> complex | None:
    """Up or down the slot, whichever is nearer to where the body looks; None if it looks only across."""
    for direction in looks:
        ahead = (unit(direction) * slot.conjugate()).real
        if abs(ahead) > 0.1:
            return slot if ahead > 0 else -slot
    return None
