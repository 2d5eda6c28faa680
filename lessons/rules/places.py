"""Whether a course still has a place for one more leader or follower."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Floor:
    """Who is enrolled: those who only lead, only follow, or dance both (counted in the role they took)."""

    leaders: int
    followers: int
    leaders_dancing_both: int = 0
    followers_dancing_both: int = 0

    def with_one_more(self, role: str, *, dances_both: bool) -> Floor:
        """The same people and one more; role: "L" or "F"."""
        leads = role == "L"
        return Floor(
            self.leaders + leads,
            self.followers + (not leads),
            self.leaders_dancing_both + (leads and dances_both),
            self.followers_dancing_both + (not leads and dances_both),
        )

    @property
    def least_difference(self) -> int:
        """How far the roles differ when those who dance both even them out as well as they can.

        One who changes role shrinks the difference by two; an odd number of people leaves one over.
        """
        difference = abs(self.leaders - self.followers)
        more = self.leaders_dancing_both if self.leaders > self.followers else self.followers_dancing_both
        return difference % 2 if 2 * more >= difference else difference - 2 * more


def has_place(floor: Floor, role: str, *, dances_both: bool, places: int, allowed_difference: int) -> bool:
    """Whether one more in `role` ("L" or "F") finds a place.

    There must be one of the role's `places` left, and the difference between the roles may not grow beyond
    what the course allows; one who narrows the difference is always welcome.
    """
    taken = floor.leaders if role == "L" else floor.followers
    if taken >= places:
        return False
    after = floor.with_one_more(role, dances_both=dances_both)
    return after.least_difference <= max(allowed_difference, floor.least_difference)
