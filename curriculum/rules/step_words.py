"""The words of a step's direction, read as where the foot goes.

A chart's direction is free text of a few trade words ("side and slightly back", "forward and across, small",
"in place"). What is not known is passed over, so that a cue written there does no harm; a step of which
nothing is known is taken on the spot beside the other foot. The lengths are what a picture needs, in foot
lengths; a chart does not give any (common practice, no source).
"""

import re
from dataclasses import dataclass
from enum import Enum
from typing import Final

from curriculum.rules.steps import STILL_ACTIONS, Step

STRIDE: Final = 1.5
"""Of a step forward or back."""
SIDE_STRIDE: Final = 1.25
"""Of a step to the side."""
_SMALL, _SLIGHTLY = 0.55, 0.4
_REACH: Final = 0.7
"""How far a touching or pointing foot goes, of a stride."""


class Manner(Enum):
    """How the foot finds its place."""

    STILL = "held"  # no foot moves
    MOVES = "moves"  # goes off into a direction
    BESIDE = "beside"  # next to the other foot: close, touch beside
    STAYS = "in place"  # where this foot stood before: replace, in place, a turn on it
    CROSSES = "crosses"  # past the other foot, behind or in front of it: cross, lock
    HOOKS = "hooks"  # close behind the other foot, as in an anchor


@dataclass(frozen=True, slots=True)
class Way:
    """Where a foot goes from the body. forward, sideways: foot lengths; sideways is towards the foot's own
    side. across: past the line of the other foot. front: whether a crossing foot passes in front.
    turned_first: the body has turned before the foot goes ("back after the turn").
    """

    manner: Manner
    forward: float = 0.0
    sideways: float = 0.0
    across: bool = False
    front: bool = False
    turned_first: bool = False


def way_of(step: Step) -> Way:
    """The step's action and direction as a way of the foot."""
    if step.action in STILL_ACTIONS or step.foot is None:
        return Way(Manner.STILL)
    words = set(re.findall(r"[a-z]+", step.direction.casefold()))
    if step.action in ("cross", "lock"):
        return Way(Manner.CROSSES, front="front" in words)
    if step.action == "close" or "beside" in words:
        return Way(Manner.BESIDE)
    if step.action == "replace" or "place" in words:
        return Way(Manner.STAYS)
    if "behind" in words:
        return Way(Manner.HOOKS)
    return _going(step, words)


def _going(step: Step, words: set[str]) -> Way:
    forward, sideways = _amounts(step.direction)
    if not forward and not sideways:
        stays = step.action in ("pivot", "hop")
        return Way(Manner.STAYS if stays else Manner.BESIDE)
    size = (_SMALL if "small" in words else 1.0) * (1.0 if step.takes_weight else _REACH)
    # A diagonal is no longer than a step straight on.
    size /= max(1.0, (forward * forward + sideways * sideways) ** 0.5)
    across = "across" in words and "slot" not in words
    return Way(
        Manner.MOVES,
        forward * size * STRIDE,
        sideways * size * SIDE_STRIDE,
        across,
        turned_first="after" in _words_of_the_way(step.direction),
    )


def _amounts(direction: str) -> tuple[float, float]:
    """How much forward (back is less than nothing) and how much to the side, each at most 1 in size."""
    forward = sideways = 0.0
    size = 1.0
    for word in _words_of_the_way(direction):
        if word == "slightly":
            size = _SLIGHTLY
            continue
        if word in ("forward", "forwards"):
            forward = size
        elif word in ("back", "backward", "backwards"):
            forward = -size
        elif word in ("side", "sideways"):
            sideways = size
        size = 1.0
    if "diagonal" in direction.casefold() and not sideways:
        sideways = abs(forward) * _SLIGHTLY
    return forward, sideways


def _words_of_the_way(direction: str) -> list[str]:
    """Only what stands before the first comma tells the way; after it stand remarks ("back on the slot")."""
    return re.findall(r"[a-z]+", direction.casefold().partition(",")[0])
