"""The charts of a figure checked by the body's rules, each in the ways that dance it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum.models import Dance, Figure, FloorRole, Hold, Passage, StepChart
from curriculum.problems import facings_of, passage_of, steps_of, words_of
from curriculum.rules.chart import Finding, Place, Step, check_chart
from curriculum.rules.chart_couple import Hold as HoldFacing
from curriculum.rules.rhythm_laying import Unit, lay_rhythm
from curriculum.rules.stance import Stance
from curriculum.rules.wording import Words


@dataclass(frozen=True)
class DanceRules:
    """What of a dance its charts are checked against. units: the counts of its rhythms."""

    holds: Mapping[str, HoldFacing]
    units: tuple[Unit, ...]
    words: Words


@dataclass(frozen=True)
class Way:
    """A way in and out that a chart is danced in. beats: how long it is to last."""

    entry: Stance
    exit: Stance
    beats: Fraction


def rules_of(dance: Dance, holds: Iterable[Hold] | None = None) -> DanceRules:
    """Two queries; one with the dance's holds at hand."""
    return DanceRules(
        holds=facings_of(dance.holds.order_by("pk") if holds is None else holds),
        units=_units(dance),
        words=words_of(dance),
    )


def _units(dance: Dance) -> tuple[Unit, ...]:
    """The counts of each rhythm, in the order of their names."""
    units: dict[int, list[tuple[str, int]]] = {}
    rows = dance.rhythms.order_by("name", "counts__position")
    for rhythm, count, ticks in rows.values_list("pk", "counts__count", "counts__ticks"):
        unit = units.setdefault(rhythm, [])
        if count is not None:
            unit.append((count, ticks))
    return tuple(tuple(unit) for unit in units.values())


def check_figure(
    figure: Figure, charts: Iterable[StepChart], passages: Sequence[Passage], rules: DanceRules
) -> dict[int, tuple[Finding, ...]]:
    """Chart key -> what the body's rules have against it. A figure without a chart has nothing to find.

    Reads the charts' steps and the passages' figure and holds: fetch them. No query of its own.
    """
    found = {}
    for chart in charts:
        steps = list(chart.steps.all())
        leader, follower = steps_of(steps, FloorRole.LEADER), steps_of(steps, FloorRole.FOLLOWER)
        ways = [_way(row) for row in passages if row.chart_id == chart.pk]
        found[chart.pk] = check_steps(leader, follower, ways or [anyhow(figure)], rules)
    return found


def check_steps(
    leader: Sequence[Step], follower: Sequence[Step], ways: Iterable[Way], rules: DanceRules
) -> tuple[Finding, ...]:
    """What is found in any of the ways, each thing once."""
    rhythm = lay_rhythm(rules.units, max(leader, follower, key=len))
    found = {
        finding: None
        for way in ways
        for finding in check_chart(
            leader,
            follower,
            beats=way.beats,
            entry=way.entry,
            exit=way.exit,
            rhythm=rhythm,
            holds=rules.holds,
            slot=rules.words.slot,
            words=rules.words,
        )
    }
    if rhythm is None and rules.units and leader:
        sentence = "The counts follow none of the dance’s rhythms."
        found[Finding("count", Place(), sentence, "Fill the counts in from a rhythm.")] = None
    return tuple(found)


def anyhow(figure: Figure) -> Way:
    """A chart that no way dances yet: only its length is known."""
    return Way(Stance(None), Stance(None), figure.beats or Fraction(0))


def _way(row: Passage) -> Way:
    passage = passage_of(row)
    return Way(passage.entry, passage.exit, row.beats)
