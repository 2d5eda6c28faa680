"""The rows of a step chart, and what follows from them: free foot, turn, alignment, length.

Sources: weight goes with some actions and not with others, and a turn belongs to the step on which it ends
(common practice of the trade, no source). Turn is counted in eighths, right positive; lengths in ticks, 12
to the beat, so that halves, thirds and quarters are exact.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from curriculum.rules.alignment import turned
from curriculum.rules.stance import TICKS_PER_BEAT

WEIGHT_ACTIONS: Final = frozenset({"step", "close", "cross", "replace", "lock", "pivot", "hop"})
"""Actions that put weight on their foot."""

FREE_FOOT_ACTIONS: Final = frozenset({"touch", "tap", "point", "kick", "flick", "brush"})
"""Actions of the free foot that leave the weight where it is."""

STILL_ACTIONS: Final = frozenset({"hold"})
"""A held count: nothing moves."""

ACTIONS: Final = WEIGHT_ACTIONS | FREE_FOOT_ACTIONS | STILL_ACTIONS

STANDING_FOOT_ACTIONS: Final = frozenset({"pivot", "hop"})
"""Actions with weight that the standing foot can do as well as the free one."""


@dataclass(frozen=True, slots=True)
class Step:
    """One row of a chart for one role.

    count: what is said ("1", "&", "S"). ticks: its length. foot: "L", "R", or None on a held count. action:
    one of ACTIONS. direction: in words. turn: eighths, right positive, ending on this step. hold: key of the
    hold from here on, None if nothing changes. cue: what the teacher says.
    """

    count: str
    ticks: int
    foot: str | None
    action: str
    direction: str
    turn: int = 0
    hold: str | None = None
    cue: str = ""

    @property
    def takes_weight(self) -> bool:
        """Whether the weight is on this step's foot afterwards because of it."""
        return self.action in WEIGHT_ACTIONS and self.foot is not None


def other_foot(foot: str) -> str:
    """The left foot's other foot is the right one."""
    return "R" if foot == "L" else "L"


def free_foot_before(steps: Sequence[Step]) -> str | None:
    """The foot that must be free for the chart to begin; None if the chart does not tell."""
    for step in steps:
        if step.foot is not None and step.action in ACTIONS - STANDING_FOOT_ACTIONS - STILL_ACTIONS:
            return step.foot
        if step.takes_weight:
            return None
    return None


def free_foot_after(steps: Sequence[Step], before: str | None = None) -> str | None:
    """The free foot at the end of the chart; `before`: the free foot it starts with, None if not known."""
    free = before or free_foot_before(steps)
    for step in steps:
        if step.takes_weight and step.foot is not None:
            free = other_foot(step.foot)
    return free


def net_turn(steps: Sequence[Step]) -> int:
    """All turns of one role together, in eighths, right positive; a whole turn to the left is -8."""
    return sum(step.turn for step in steps)


def exit_alignment(before: int, steps: Sequence[Step]) -> int:
    """The direction faced at the end by somebody who faced `before` (0..7 from the line of dance)."""
    return turned(before, net_turn(steps))


def beats_of(steps: Sequence[Step]) -> Fraction:
    """The length of a chart in beats."""
    return Fraction(sum(step.ticks for step in steps), TICKS_PER_BEAT)
