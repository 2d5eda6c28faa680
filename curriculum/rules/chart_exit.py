"""Where a chart leads: what is derived from it and never typed."""

from collections.abc import Mapping, Sequence

from curriculum.rules.chart_couple import FACE_TO_FACE, Hold
from curriculum.rules.stance import Stance
from curriculum.rules.steps import Step, exit_alignment, free_foot_after, net_turn


def exit_of(
    leader: Sequence[Step],
    *,
    entry: Stance,
    hold: str | None,
    holds: Mapping[str, Hold],
    slot: bool,
) -> Stance:
    """The stance in which the leader's chart ends if it begins in `entry` and ends in `hold`.

    The place is None where it cannot be told: the entry leaves it open, or on a slot the partners do not face
    each other, so that the leader's turn does not say who is at which end.
    """
    return Stance(hold, free_foot_after(leader, entry.foot), _place(leader, entry, hold, holds, slot))


def _place(
    leader: Sequence[Step], entry: Stance, hold: str | None, holds: Mapping[str, Hold], slot: bool
) -> int | None:
    if entry.place is None:
        return None
    if not slot:
        return exit_alignment(entry.place, leader)
    facings = [holds[key].facing for key in (entry.hold, hold) if key is not None and key in holds]
    half_turns, rest = divmod(net_turn(leader), FACE_TO_FACE)
    if rest or facings != [FACE_TO_FACE, FACE_TO_FACE]:
        return None
    return 1 - entry.place if half_turns % 2 else entry.place
