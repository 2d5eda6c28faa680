"""Checks of both roles' charts together: changes of hold, feet at the end, facing and alignment."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from curriculum.rules.alignment import DIRECTIONS, EIGHTHS, shortest_turn, turned
from curriculum.rules.chart_findings import Finding, at_row, eighths, of_both, of_role, size
from curriculum.rules.stance import Stance
from curriculum.rules.steps import (
    Step,
    exit_alignment,
    free_foot_after,
    free_foot_before,
    net_turn,
    other_foot,
)
from curriculum.rules.wording import FEET, Words

FACE_TO_FACE = EIGHTHS // 2
SLOT_ENDS = (0, 1)


@dataclass(frozen=True, slots=True)
class Hold:
    """How the partners stand in a hold.

    facing: (follower's direction − leader's) mod 8 in eighths; 4 = face to face; None = free.
    same_foot: both may be on the same foot, as in shadow and side by side.
    """

    facing: int | None
    same_foot: bool = False


_ANYHOW = Hold(None, same_foot=True)
"""Of a hold that is left open, or that the dance does not have, nothing is known."""


@dataclass(frozen=True, slots=True)
class Couple:
    """Both charts, and the stances they lead from and to."""

    leader: Sequence[Step]
    follower: Sequence[Step]
    entry: Stance
    exit: Stance
    holds: Mapping[str, Hold]
    words: Words

    def hold(self, key: str | None) -> Hold:
        """How the partners stand in a hold."""
        return _ANYHOW if key is None else self.holds.get(key, _ANYHOW)

    @property
    def followers_free_foot(self) -> str | None:
        """The foot the follower begins with: opposite to the leader's, None where that is not certain."""
        leaders = self.entry.foot or free_foot_before(self.leader)
        return None if leaders is None or self.hold(self.entry.hold).same_foot else other_foot(leaders)


def check_couple(couple: Couple, slot: bool | None) -> Iterator[Finding]:
    """All checks that need both roles, or the stances."""
    yield from _check_holds_known(couple)
    yield from _check_changes_of_hold(couple)
    yield from _check_free_feet(couple)
    yield from _check_facing(couple)
    yield from _check_place(couple, slot)


def _check_holds_known(couple: Couple) -> Iterator[Finding]:
    for stance in (couple.entry, couple.exit):
        if stance.hold is not None and stance.hold not in couple.holds:
            yield of_both("hold", f"The dance has no hold “{stance.hold}”")
    for row, step in enumerate(couple.leader):
        if step.hold is not None and step.hold not in couple.holds:
            yield at_row("hold", "leader", row, step, f"the dance has no hold “{step.hold}”")


def _check_changes_of_hold(couple: Couple) -> Iterator[Finding]:
    led = {start: step.hold for start, step in _timed(couple.leader) if step.hold is not None}
    for row, (start, step) in enumerate(_timed(couple.follower)):
        if step.hold is not None and step.hold != led.get(start):
            name = couple.words.hold(step.hold)
            mend = f"Change to {name} in the leader's chart at the same count."
            yield at_row("hold change", "follower", row, step, f"no one leads the change to {name}", mend)
    last = list(led.values())[-1] if led else couple.entry.hold
    if last is not None and couple.exit.hold is not None and last != couple.exit.hold:
        ends, reached = couple.words.hold(couple.exit.hold), couple.words.hold(last)
        what = f"no one leads the change to {ends}, in which the figure ends; the chart ends in {reached}"
        yield of_role("hold change", "leader", what, f"Change to {ends} on the count where the hands do.")


def _timed(steps: Sequence[Step]) -> Iterator[tuple[int, Step]]:
    """Each step with the tick on which it begins."""
    return zip(accumulate((step.ticks for step in steps), initial=0), steps, strict=False)


def _check_free_feet(couple: Couple) -> Iterator[Finding]:
    leaders = free_foot_after(couple.leader, couple.entry.foot)
    followers = free_foot_after(couple.follower, couple.followers_free_foot)
    if leaders is not None and couple.exit.foot not in (None, leaders):
        foot = FEET[leaders]
        what = f"the {foot} foot is free at the end, not the {FEET[other_foot(leaders)]}"
        yield of_role("free foot", "leader", what, f"Say that the figure ends with the {foot} foot free.")
    if leaders is not None and leaders == followers and not couple.hold(couple.exit.hold).same_foot:
        name = couple.words.hold(couple.exit.hold)
        what = f"Both end with the {FEET[leaders]} foot free, but {name} wants opposite feet"
        yield of_both("out of step", what, "One of the roles changes weight once more, or once less.")


def _check_facing(couple: Couple) -> Iterator[Finding]:
    before, wanted = couple.hold(couple.entry.hold).facing, couple.hold(couple.exit.hold).facing
    if before is None or wanted is None:
        return
    reached = turned(before, net_turn(couple.follower) - net_turn(couple.leader))
    short = shortest_turn(reached, wanted)
    if short:
        hold = couple.words.hold(couple.exit.hold)
        what = f"The turns leave the partners {size(short)} off the way they face in {hold}"
        mend = f"Turn the follower {eighths(short)}, or the leader {eighths(-short)}."
        yield of_both("facing", what, mend)


def _check_place(couple: Couple, slot: bool | None) -> Iterator[Finding]:
    """In a room the leader's turn leads from place to place; on a slot it says who has changed ends."""
    before, wanted = couple.entry.place, couple.exit.place
    if wanted is None:
        wanted = before
    if before is None or wanted is None:
        return
    could_be_slot = before != wanted and {before, wanted} == set(SLOT_ENDS)
    if slot or (slot is None and could_be_slot and _changes_ends(couple)):
        yield from _check_slot(couple, before, wanted)
    else:
        yield from _check_room(couple, before, wanted)


def _changes_ends(couple: Couple) -> bool:
    return net_turn(couple.leader) % EIGHTHS == FACE_TO_FACE and _faces_along_slot(couple)


def _faces_along_slot(couple: Couple) -> bool:
    """Whether the partners face each other before and after, so that the leader's turn tells the ends."""
    return all(couple.hold(stance.hold).facing == FACE_TO_FACE for stance in (couple.entry, couple.exit))


def _check_slot(couple: Couple, before: int, wanted: int) -> Iterator[Finding]:
    if not _faces_along_slot(couple):
        return
    turn = net_turn(couple.leader) % EIGHTHS
    if turn not in (0, FACE_TO_FACE):
        yield of_role("alignment", "leader", "the turns do not end along the slot")
    elif (turn == FACE_TO_FACE) != (before != wanted):
        what = f"the turns bring the follower to end {1 - wanted} of the slot, not {wanted}"
        yield of_role("alignment", "leader", what, "Turn half a turn more, or half a turn less.")


def _check_room(couple: Couple, before: int, wanted: int) -> Iterator[Finding]:
    reached = exit_alignment(before, couple.leader)
    if reached == wanted:
        return
    start, end, said = DIRECTIONS[before], DIRECTIONS[reached], DIRECTIONS[wanted]
    what = f"from facing {start} the turns lead to facing {end}, not {said}"
    mend = f"Turn {eighths(shortest_turn(reached, wanted))}, or end facing {end}."
    yield of_role("alignment", "leader", what, mend)
