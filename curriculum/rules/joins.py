"""Does one figure lead into the next? (Common practice, no source.)

A couple can go on when hold, free foot and place agree; what is left open on either side agrees with
everything. Two things may still be done between two figures:

* a free change (letting go, taking a free hand): the hold only, one step, never chained;
* give, which belongs to the figure BEFORE the join: that figure is turned so many eighths more or less, so
  that the next can begin where it must. It means something in travelling dances only and does not pass on
  through a later figure that stays in place.
"""

from dataclasses import dataclass
from typing import Literal

from curriculum.rules.alignment import shortest_turn
from curriculum.rules.stance import Floor, Stance
from curriculum.rules.wording import PLAIN_WORDS, Words

JoinStatus = Literal["holds", "free change", "give", "broken"]


@dataclass(frozen=True, slots=True)
class Join:
    """The place between two figures. reason: what to do, or why it is broken; "" where it simply holds."""

    status: JoinStatus
    reason: str = ""


def join_between(
    before: Stance,
    entry: Stance,
    *,
    floor: Floor,
    give: int = 0,
    words: Words = PLAIN_WORDS,
    figures: tuple[str, str] = ("", ""),
) -> Join:
    """Whether a couple standing in `before` can begin what starts in `entry`, and what it takes.

    give: eighths the figure danced last may be turned more or less. A join that needs both a change of hold
    and give is called a free change; its reason names both. figures: keys of the two, for the sentences.
    """
    same_hold = _agree(before.hold, entry.hold)
    same_place = _agree(before.place, entry.place)
    differ = []
    if not same_hold and not floor.frees(before.hold, entry.hold):
        differ.append("hold")
    if not _agree(before.foot, entry.foot):
        differ.append("foot")
    if not same_place and not _within_give(before.place, entry.place, give):
        differ.append("place")
    if differ:
        return Join("broken", words.broken(figures, before, entry, differ))
    if same_hold and same_place:
        return Join("holds")
    reasons = []
    if not same_hold:
        reasons.append(words.change_of_hold(before.hold, entry.hold))
    if before.place is not None and entry.place is not None and not same_place:
        reasons.append(words.give(figures[0], before.place, entry.place))
    return Join("give" if same_hold else "free change", ", and ".join(reasons))


def joins(before: Stance, entry: Stance, *, floor: Floor, give: int = 0) -> bool:
    """Whether the join is anything but broken: the bare question of `join_between`, for searches."""
    return (
        _agree(before.foot, entry.foot)
        and (_agree(before.hold, entry.hold) or floor.frees(before.hold, entry.hold))
        and (_agree(before.place, entry.place) or _within_give(before.place, entry.place, give))
    )


def _agree(left: str | int | None, right: str | int | None) -> bool:
    return left is None or right is None or left == right


def _within_give(before: int | None, entry: int | None, give: int) -> bool:
    return before is None or entry is None or abs(shortest_turn(before, entry)) <= give
