"""What follows from a chart while it is being typed: length, turns, and where each way ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum.chart_table import turn_words
from curriculum.check import DanceRules, Way, anyhow, check_steps
from curriculum.models import Figure, Passage
from curriculum.problems import passage_of
from curriculum.rules.chart import Finding, Step, beats_of, net_turn
from curriculum.rules.chart_exit import exit_of
from curriculum.rules.stance import Stance
from curriculum.stance_words import stance_words


@dataclass(frozen=True)
class ChartFacts:
    """Derived, never typed. turns: of leader and follower, in words. ends: a way's label and its exit."""

    beats: Fraction
    turns: tuple[str, str]
    ends: tuple[tuple[str, str], ...]


def facts_of(
    leader: Sequence[Step], follower: Sequence[Step], passages: Iterable[Passage], rules: DanceRules
) -> ChartFacts | None:
    """None while the chart has no row. Reads the passages' holds: fetch them."""
    if not leader:
        return None
    ends = []
    for passage in passages:
        reached = _reached(passage, leader, rules)
        ends.append(
            (passage.label or "the whole", stance_words(reached, slot=rules.words.slot, is_exit=True))
        )
    turns = (turn_words(net_turn(leader)), turn_words(net_turn(follower)))
    return ChartFacts(beats_of(leader), turns, tuple(ends))


def check_typed(
    figure: Figure,
    leader: Sequence[Step],
    follower: Sequence[Step],
    passages: Iterable[Passage],
    rules: DanceRules,
    *,
    own_length: bool,
) -> tuple[Finding, ...]:
    """What the body's rules have against a chart that is not saved yet, danced in these passages."""
    if not leader:
        return ()
    plain = anyhow(figure)
    beats = beats_of(leader) if own_length else plain.beats
    ways = [Way(passage_of(row).entry, _reached(row, leader, rules), beats) for row in passages] or [
        Way(plain.entry, plain.exit, beats)
    ]
    return check_steps(leader, follower, ways, rules)


def _reached(passage: Passage, leader: Sequence[Step], rules: DanceRules) -> Stance:
    """Where the passage will end if this chart is saved: derived, and as it stands where that cannot be."""
    way = passage_of(passage)
    reached = exit_of(leader, entry=way.entry, hold=way.exit.hold, holds=rules.holds, slot=rules.words.slot)
    place = way.exit.place if reached.place is None else reached.place
    return Stance(reached.hold, reached.foot or way.exit.foot, place)
