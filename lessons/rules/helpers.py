"""Helpers who even up the numbers of one evening: which role is short, and whose part somebody can take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.rules.places import Floor

LEADER, FOLLOWER, EITHER = "L", "F", "B"


@dataclass(frozen=True, slots=True)
class Short:
    """role: "L" or "F"; number: how many of it would give everybody a partner, at least one."""

    role: str
    number: int


def short_of(floor: Floor) -> Short | None:
    """The role of which too few dance, once those who dance both have evened it out as well as they can."""
    number = floor.least_difference
    if not number:
        return None
    return Short(FOLLOWER if floor.leaders > floor.followers else LEADER, number)


def not_needed(floor: Floor, called: Sequence[tuple[str, bool]]) -> frozenset[int]:
    """Places in `called` of helpers (their role, whether they dance both) without whom the numbers of `floor`
    are more even than with them: somebody else has come meanwhile, or not."""
    needed = list(range(len(called)))
    for place in reversed(range(len(called))):
        others = [other for other in needed if other != place]
        if _uneven(floor, called, others) < _uneven(floor, called, needed):
            needed = others
    return frozenset(range(len(called))) - frozenset(needed)


def _uneven(floor: Floor, called: Sequence[tuple[str, bool]], places: Sequence[int]) -> int:
    for place in places:
        role, dances_both = called[place]
        floor = floor.with_one_more(role, dances_both=dances_both)
    return floor.least_difference


def can_take(dances_as: str, role: str) -> bool:
    """Whether somebody who dances "L", "F" or "B" (either) can take the role "L" or "F"."""
    return dances_as in (role, EITHER)
