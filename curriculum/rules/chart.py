"""Step charts: a figure count by count for both roles, checked by the body's rules.

Common practice of the trade, no source, unless said otherwise:

* Weight goes with step, close, cross, replace, lock, pivot, hop; not with touch, tap, point, kick, flick,
  brush, hold. The next foot to take weight is the free one; only a pivot or a hop may stay on the other.
* The lengths of the counts add up to the figure's beats, for each role; the roles need not change weight
  equally often.
* Facing is checked where a figure begins and ends. Inside it a hold only says which hands are joined.
* In a hold the partners' natural feet are opposite ones; in a hold that says so they may be on the same.
* A change of hold stands in the leader's chart; the follower's may repeat it.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from curriculum.rules.chart_couple import Couple, Hold, check_couple
from curriculum.rules.chart_findings import Finding, Place, Role, length, of_both
from curriculum.rules.chart_rows import Rhythm, check_feet, check_length, check_rhythm
from curriculum.rules.stance import TICKS_PER_BEAT, Stance
from curriculum.rules.steps import Step, beats_of, exit_alignment, free_foot_after, free_foot_before, net_turn
from curriculum.rules.wording import PLAIN_WORDS, Words

__all__ = [
    "Finding",
    "Hold",
    "Place",
    "Step",
    "beats_of",
    "check_chart",
    "exit_alignment",
    "free_foot_after",
    "free_foot_before",
    "net_turn",
]


def check_chart(
    leader: Sequence[Step],
    follower: Sequence[Step],
    *,
    beats: int | Fraction,
    entry: Stance,
    exit: Stance,  # noqa: A002 (the trade's word, and the passage's)
    rhythm: Rhythm | None,
    holds: Mapping[str, Hold],
    slot: bool | None = None,
    words: Words = PLAIN_WORDS,
) -> tuple[Finding, ...]:
    """Everything the body's rules have against a chart, row by row for each role, then for the couple.

    entry, exit: the stances of the passage the chart belongs to; what they leave open is not checked. beats:
    the figure's. rhythm: (count, ticks) for the whole figure, None = not compared. holds: the dance's.
    slot: whether places are ends of a slot; None = not known: then a change between places 0 and 1 passes
    if it is right on a slot or in a room.
    """
    couple = Couple(leader, follower, entry, exit, holds, words)
    return (
        *_check_role("leader", leader, entry.foot, beats, rhythm),
        *_check_role("follower", follower, couple.followers_free_foot, beats, rhythm),
        *_check_rhythm_length(rhythm, beats),
        *check_couple(couple, slot),
    )


def _check_role(
    role: Role, steps: Sequence[Step], free: str | None, beats: int | Fraction, rhythm: Rhythm | None
) -> Iterator[Finding]:
    yield from check_feet(role, steps, free)
    yield from check_length(role, steps, beats)
    if rhythm is not None:
        yield from check_rhythm(role, steps, rhythm)


def _check_rhythm_length(rhythm: Rhythm | None, beats: int | Fraction) -> Iterator[Finding]:
    if rhythm is None:
        return
    lasts = Fraction(sum(ticks for _, ticks in rhythm), TICKS_PER_BEAT)
    if lasts != beats:
        yield of_both("length", f"The rhythm lasts {length(lasts)}, the figure {length(beats)}")
