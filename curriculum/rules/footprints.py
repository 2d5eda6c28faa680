"""A chart's footprints on the floor: where each foot of each role comes down, and how it points.

The floor is measured in foot lengths. Direction 0 is up (y grows), and directions are counted in eighths
clockwise from it, as in the room: on a travelling floor up is the line of dance, on a slot up is where the
leader looks at the end; otherwise it is where the leader looks at the start.

A chart says into which direction a foot goes and how far the body has turned when it gets there, but not
how long the step is, nor when within it the body turns. Here (common practice, no source):

* strides have the lengths of step_words;
* the body turns about the standing foot. A step to the side goes half way through its turn; a step forward
  or back follows the new direction up to a quarter of turn, and the old one beyond that, for then the foot
  is set first and turned upon. In a dance on the spot so does a step to the side: one turns, then steps.
  A step "after the turn" follows the new direction always;
* on a slot the follower's steps forward and back stay on the slot;
* travelling steps are made a little longer or shorter, all alike, so that the couple ends at the distance of
  its hold: both roles' alike where the dance travels, otherwise the follower's, and the leader's only to be
  back on the slot. A chart whose turns do not fit its hold is drawn as it stands.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from curriculum.rules.alignment import turned
from curriculum.rules.chart_couple import Hold
from curriculum.rules.couple_standing import Standing, standing_in
from curriculum.rules.floor_walk import HALF_STANCE, Body, Footprint, Track, Walk, unit, walked
from curriculum.rules.stance import Stance
from curriculum.rules.steps import Step, free_foot_before, net_turn, other_foot

__all__ = ["HALF_STANCE", "FloorMap", "FloorUse", "Footprint", "Track", "footprints", "unit"]

FloorUse = Literal["travels", "slot", "spot"]

_MOST_MENDED: Final = 1.0
"""Foot lengths a step is made longer or shorter at most."""


@dataclass(frozen=True, slots=True)
class FloorMap:
    """Both roles' ways. in_the_room: up is the line of dance; otherwise up is only up."""

    leader: Track
    follower: Track
    floor: FloorUse
    in_the_room: bool


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
    lead_walk = Walk("leader", leader, led, turns_first=floor == "spot")
    lead = walked(lead_walk, leads)
    follow_walk = replace(
        lead_walk,
        role="follower",
        steps=follower,
        ways_forward=followed,
        slot=unit(0) if floor == "slot" else None,
    )
    if floor == "slot":
        lead = _mended(lead_walk, leads, lead, complex(-lead.x, 0))
    follow = walked(follow_walk, follows)
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
) -> tuple[Body, Body]:
    """Where leader and follower stand when they begin."""
    free = entry.foot or free_foot_before(leader) or "L"
    same_foot = entry.hold is not None and entry.hold in holds and holds[entry.hold].same_foot
    followers = free_foot_before(follower) or (free if same_foot else other_foot(free))
    place = unit(facing + standing.bearing) * standing.distance
    return Body(0j, facing, free), Body(place, turned(facing, standing.facing), followers)


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


def _mended(walk: Walk, body: Body, track: Track, short: complex) -> Track:
    """The track, its travelling steps made so much longer that it ends `short` further on, or nearly."""
    probe = walked(replace(walk, longer=1 + 0j), body)
    effect = probe.x - track.x
    if abs(effect) < 0.5:
        return track
    longer = short / effect
    return walked(replace(walk, longer=longer / max(1.0, abs(longer) / _MOST_MENDED)), body)
