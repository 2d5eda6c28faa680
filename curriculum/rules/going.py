"""What a join is like to dance, though it holds: the way of going reverses, or the partner goes outside.

Both are notes, not breaches (common practice, no source). They are read from the charts of the two figures:
the step the first one ends with, and the one the second begins with. Without a chart nothing is said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from curriculum.rules.step_words import Manner, way_of
from curriculum.rules.steps import Step

NoteKind = Literal["reverses", "outside"]


@dataclass(frozen=True, slots=True)
class Going:
    """How a chart begins and ends. first, last: the leader's way of going in the first and last step, 1
    forward, -1 back, 0 neither. begins_outside, ends_outside: whether a step there is outside the partner.
    """

    first: int = 0
    last: int = 0
    begins_outside: bool = False
    ends_outside: bool = False


@dataclass(frozen=True, slots=True)
class JoinNote:
    kind: NoteKind
    sentence: str


def going_of(leader: Sequence[Step], follower: Sequence[Step]) -> Going:
    """Read from both roles' steps; of nothing, nothing is known."""
    return Going(
        first=_way(leader[0]) if leader else 0,
        last=_way(leader[-1]) if leader else 0,
        begins_outside=any(_is_outside(steps[0]) for steps in (leader, follower) if steps),
        ends_outside=any(_is_outside(steps[-1]) for steps in (leader, follower) if steps),
    )


def notes_between(
    before: Going | None, after: Going | None, *, figures: tuple[str, str]
) -> tuple[JoinNote, ...]:
    """What there is to know about going from the one into the other. figures: their names."""
    if before is None or after is None:
        return ()
    notes = []
    if before.last * after.first < 0:
        ways = {1: "forward", -1: "back"}
        said = f"The way of going reverses: {figures[0]} ends going {ways[before.last]}, {figures[1]} begins "
        notes.append(JoinNote("reverses", f"{said}{ways[after.first]} (leader)."))
    if after.begins_outside and not before.ends_outside:
        said = f"From in line to partner outside: {figures[1]} begins with a step outside the partner."
        notes.append(JoinNote("outside", said))
    return tuple(notes)


def _way(step: Step) -> int:
    """Of a step straight on or back; one that goes further to the side than on is neither."""
    way = way_of(step)
    if way.manner is not Manner.MOVES or not step.takes_weight or abs(way.forward) <= way.sideways:
        return 0
    return 1 if way.forward > 0 else -1


def _is_outside(step: Step) -> bool:
    """The direction says so, or the cue does, unless it speaks of what comes next."""
    cue = set(re.findall(r"[a-z]+", step.cue.casefold()))
    return "outside" in step.direction.casefold() or ("outside" in cue and "next" not in cue)
