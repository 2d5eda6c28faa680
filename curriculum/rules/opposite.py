"""The other role's chart begun from one role's: the natural opposite, to be edited afterwards.

Common practice of the trade, no source:

* The other foot; the same foot where the figure begins in a hold that lets both be on the same one (shadow).
* Partners who face each other go opposite ways: forward becomes back, back becomes forward; to the side
  stays to the side, and a lock behind the one's standing foot is a lock in front of the other's. Partners
  who face the same way or along the same line (side by side, wrap, promenade) go the same way.
* Each turns as much as the other, to the same side, as long as the way they face each other stays; where a
  change of hold changes that, the turn differs by just as much ("to side by side": one turns a quarter right,
  the other a quarter left).
* Counts, lengths, actions and changes of hold are the same.

The opposite of the opposite is the chart one began with.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal

from curriculum.rules.alignment import EIGHTHS, shortest_turn
from curriculum.rules.chart_couple import FACE_TO_FACE, Hold
from curriculum.rules.steps import Step, other_foot

_REVERSED: Final = {
    "forward": "back",
    "back": "forward",
    "backward": "forward",
    "forwards": "backwards",
    "backwards": "forwards",
}
_WORD: Final = re.compile(r"[a-z]+", re.IGNORECASE)
_LOCKED: Final = {"behind": "in front", "in front": "behind"}
_LOCK: Final = re.compile(r"\b(?:behind|in front)\b", re.IGNORECASE)
_HALF: Final = EIGHTHS // 2
_LEAST: Final = 1 - _HALF


def natural_opposite(
    steps: Sequence[Step],
    *,
    entry: str | None,
    holds: Mapping[str, Hold],
    of: Literal["leader", "follower"] = "leader",
) -> tuple[Step, ...]:
    """The other role's chart. entry: key of the hold the figure begins in, None = any (they face each other).

    of: whose chart `steps` is. A hold that is free (facing None) is taken like the one before it.
    """
    known = holds.get(entry) if entry is not None else None
    same_foot = known is not None and known.same_foot
    facing = FACE_TO_FACE if known is None or known.facing is None else known.facing
    opposite = []
    for step in steps:
        before, facing = facing, _facing(step, holds, facing)
        further = shortest_turn(before, facing)
        opposite.append(
            replace(
                step,
                foot=step.foot if step.foot is None or same_foot else other_foot(step.foot),
                direction=_reversed(step) if _faces(facing) else step.direction,
                turn=_turn(step.turn, further if of == "leader" else -further),
                cue="",
            )
        )
    return tuple(opposite)


def _facing(step: Step, holds: Mapping[str, Hold], before: int) -> int:
    """How the partners face each other from this step on."""
    hold = holds.get(step.hold) if step.hold is not None else None
    return before if hold is None or hold.facing is None else hold.facing


def _faces(facing: int) -> bool:
    """Whether partners look at each other, if only askew: then forward of the one is back of the other."""
    return abs(shortest_turn(FACE_TO_FACE, facing)) < EIGHTHS // 4


def _reversed(step: Step) -> str:
    direction = _WORD.sub(lambda word: _REVERSED.get(word.group().lower(), word.group()), step.direction)
    if step.action != "lock":
        return direction
    return _LOCK.sub(lambda where: _LOCKED[where.group().lower()], direction)


def _turn(turn: int, further: int) -> int:
    """The other's turn. Half a turn further can be made by either side: the smaller turn is taken, so that a
    quarter to the right answers a quarter to the left."""
    if abs(further) != _HALF:
        return turn + further
    whole, rest = divmod(turn - _LEAST, EIGHTHS)
    part = rest + _LEAST
    return whole * EIGHTHS + (part - _HALF if part > 0 else part + _HALF)
