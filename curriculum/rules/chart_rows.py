"""Checks of one role's chart by itself: feet and weight, lengths, and the counts of the rhythm."""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from fractions import Fraction

from curriculum.rules.chart_findings import Finding, Place, Role, at_row, length, of_role
from curriculum.rules.stance import TICKS_PER_BEAT
from curriculum.rules.steps import (
    ACTIONS,
    FREE_FOOT_ACTIONS,
    STANDING_FOOT_ACTIONS,
    STILL_ACTIONS,
    Step,
    beats_of,
    other_foot,
)
from curriculum.rules.wording import FEET

Rhythm = Sequence[tuple[str, int]]
"""Counts with their lengths in ticks, for the whole figure."""


def check_feet(role: Role, steps: Sequence[Step], free: str | None) -> Iterator[Finding]:
    """Weight alternates, and only the free foot touches. free: the free foot at the start, if known.

    After a wrong foot the check goes on from what the chart says, so that one mistake is found once.
    """
    standing_since: int | None = None
    for row, step in enumerate(steps):
        problem = _unreadable(role, row, step)
        if problem is not None:
            yield problem
            continue
        if step.foot is None or step.action in STILL_ACTIONS:
            continue
        if free is not None and step.foot != free and step.action not in STANDING_FOOT_ACTIONS:
            yield _wrong_foot(role, row, step, free, standing_since)
        if step.takes_weight:
            free, standing_since = other_foot(step.foot), row
        elif free is None:
            free = step.foot


def _unreadable(role: Role, row: int, step: Step) -> Finding | None:
    if step.action not in ACTIONS:
        what = f"“{step.action}” is no action; there are {', '.join(sorted(ACTIONS))}"
        return at_row("action", role, row, step, what)
    if step.foot not in (None, "L", "R"):
        return at_row("foot", role, row, step, f"a foot is L or R, not “{step.foot}”")
    if step.foot is None and step.action not in STILL_ACTIONS:
        return at_row("foot", role, row, step, f"which foot does the {step.action}")
    return None


def _wrong_foot(role: Role, row: int, step: Step, free: str, standing_since: int | None) -> Finding:
    used, unused = FEET[other_foot(free)], FEET[free]
    if step.action in FREE_FOOT_ACTIONS:
        what = f"a {step.action} with the {used} foot, which carries the weight"
        return at_row(
            "standing foot", role, row, step, what, f"{step.action.capitalize()} with the {unused} foot."
        )
    mend = f"{step.action.capitalize()} with the {unused} foot."
    if standing_since is None:
        what = f"begins with the {used} foot, but the {unused} foot is the free one"
        return at_row("two on one foot", role, row, step, what, mend)
    what = f"the {used} foot takes weight again, after row {standing_since + 1}"
    mend = f"{mend[:-1]}, or leave one of the two without weight."
    return at_row("two on one foot", role, row, step, what, mend)


def check_length(role: Role, steps: Sequence[Step], beats: int | Fraction) -> Iterator[Finding]:
    """The lengths add up to the figure's beats, and no count is without length."""
    for row, step in enumerate(steps):
        if step.ticks < 1:
            yield at_row("ticks", role, row, step, "a count lasts at least one tick")
    over = beats_of(steps) - beats
    if over:
        what = f"the counts last {length(beats_of(steps))}, the figure has {length(beats)}"
        mend = f"Take {length(over)} away." if over > 0 else f"Add {length(-over)}."
        yield of_role("length", role, what, mend)


def check_rhythm(role: Role, steps: Sequence[Step], rhythm: Rhythm) -> Iterator[Finding]:
    """The chart has the rhythm's counts, in order, each as long as there.

    A count too many or too few is found where it is; the rows after it are compared with their own counts.
    """
    counts, wanted = [step.count for step in steps], [count for count, _ in rhythm]
    for _, start, end, first, last in SequenceMatcher(None, counts, wanted, autojunk=False).get_opcodes():
        both = min(end - start, last - first)
        for row, place in zip(range(start, start + both), range(first, first + both), strict=True):
            yield from _compare(role, row, steps[row], *rhythm[place])
        for row in range(start + both, end):
            yield at_row("count", role, row, steps[row], "the rhythm has no such count here", "Take it out.")
        for place in range(first + both, last):
            yield _missing(role, steps, end, *rhythm[place])


def _compare(role: Role, row: int, step: Step, count: str, ticks: int) -> Iterator[Finding]:
    if step.count != count:
        yield at_row("count", role, row, step, f"the rhythm says {count} here", f"Call it {count}.")
    if step.ticks != ticks:
        lasts, should = length(Fraction(step.ticks, TICKS_PER_BEAT)), length(Fraction(ticks, TICKS_PER_BEAT))
        what = f"lasts {lasts}, in the rhythm {should}"
        yield at_row("ticks", role, row, step, what, f"Make it {ticks} ticks.")


def _missing(role: Role, steps: Sequence[Step], row: int, count: str, ticks: int) -> Finding:
    where = f"after row {row}" if row else "at the start"
    sentence = f"{role.capitalize()}, {where}: the rhythm's count {count} is missing."
    return Finding(
        "count", Place(role, row), sentence, f"Add {count} with {ticks} ticks; it may be a held count."
    )
