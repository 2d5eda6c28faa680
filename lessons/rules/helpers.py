"""Helpers who even up the numbers of one evening: which role is short, and whose part somebody can take."""

from __future__ import annotations

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


def can_take(dances_as: str, role: str) -> bool:
    """Whether somebody who dances "L", "F" or "B" (either) can take the role "L" or "F"."""
    return dances_as in (role, EITHER)
