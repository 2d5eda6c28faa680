"""Whether a course, or one lesson of it, has a place for one more leader or follower, or for a couple."""

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
    """Whether one more in `role` ("L" or "F") finds a place: `why_no_place` says nothing against it."""
    return not why_no_place(
        floor, role, dances_both=dances_both, places=places, allowed_difference=allowed_difference
    )


def why_no_place(floor: Floor, role: str, *, dances_both: bool, places: int, allowed_difference: int) -> str:
    """Why one more in `role` ("L" or "F") waits, to follow "because"; empty where there is a place.

    There must be one of the role's `places` left, and the difference between the roles may not grow beyond
    what the course allows; one who narrows the difference is always welcome.
    """
    taken = floor.leaders if role == "L" else floor.followers
    if taken >= places:
        return _all_taken(role)
    after = floor.with_one_more(role, dances_both=dances_both)
    if after.least_difference <= max(allowed_difference, floor.least_difference):
        return ""
    if not allowed_difference:
        return "there would not be as many leaders as followers"
    ahead, behind = ("leaders", "followers") if role == "L" else ("followers", "leaders")
    return f"{ahead} would be more than {allowed_difference} ahead of {behind}"


def why_no_place_for_couple(floor: Floor, *, places_leaders: int, places_followers: int) -> str:
    """Why two who come together wait, to follow "because"; empty where there is a place for both."""
    if floor.leaders >= places_leaders:
        return _all_taken("L")
    return _all_taken("F") if floor.followers >= places_followers else ""


def _all_taken(role: str) -> str:
    return f"all places for {'leaders' if role == 'L' else 'followers'} are taken"


def places_free(floor: Floor, role: str, *, dances_both: bool, places: int, allowed_difference: int) -> int:
    """How many more in `role`, one after the other, find a place as `has_place` says."""
    free = 0
    while has_place(
        floor, role, dances_both=dances_both, places=places, allowed_difference=allowed_difference
    ):
        floor = floor.with_one_more(role, dances_both=dances_both)
        free += 1
    return free


def couple_has_place(floor: Floor, *, places_leaders: int, places_followers: int) -> bool:
    """Whether two who come together, one in each role, find their places: they leave the difference between
    the roles as it is."""
    return not why_no_place_for_couple(
        floor, places_leaders=places_leaders, places_followers=places_followers
    )
