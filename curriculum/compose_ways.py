"""Ways out where no routine can be composed: what to ask for instead, demand by demand, each tried first."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from django.http import QueryDict
from django.urls import reverse

from curriculum.compose_form import ANYHOW, BARS, MOST_BARS, PHRASES
from curriculum.composing import Wish, may_be
from curriculum.models import Level
from curriculum.routine_bench import Dances
from curriculum.routine_clock import ChosenMoment, Moments
from curriculum.rules.compose import Demand
from curriculum.rules.wording import amount

SECONDS: Final = 2.0
"""How long ways out are tried: what was not tried by then is not offered."""


@dataclass(frozen=True)
class WayOut:
    """said: what is asked for instead; address: where that is."""

    said: str
    address: str


@dataclass(frozen=True)
class Clashing:
    """A demand of those that cannot all be met, and what may be asked for instead of it."""

    sentence: str
    ways: tuple[WayOut, ...]


@dataclass(frozen=True)
class _Asked:
    """What was asked: `sent` as an address, `wish` as it was read. may_be: whether another wish, at another
    moment where one is given, has an answer; False once the time is over."""

    sent: QueryDict
    wish: Wish
    level: Level
    moments: Moments
    dances: Dances
    may_be: Callable[[Wish, ChosenMoment | None], bool]

    def instead(self, **fields: str | Sequence[str]) -> str:
        """The address with other fields."""
        sent = self.sent.copy()
        sent.pop("seed", None)
        for name, value in fields.items():
            sent.setlist(name, [value] if isinstance(value, str) else list(value))
        return f"?{sent.urlencode()}"


def ways_out(
    sent: QueryDict,
    conflict: Sequence[Demand],
    *,
    wish: Wish,
    level: Level,
    moments: Moments,
    dances: Dances,
) -> tuple[Clashing, ...]:
    """For each demand what would make the rest possible. A query for each way that is tried."""
    until = time.monotonic() + SECONDS

    def tried(other: Wish, moment: ChosenMoment | None = None) -> bool:
        if time.monotonic() > until:
            return False
        return may_be(level, other, moment or moments.chosen, dances)

    asked = _Asked(sent, wish, level, moments, dances, tried)
    # Lengths take longest to try.
    ordered = sorted(conflict, key=lambda demand: demand.kind == "beats")
    found = {demand: tuple(_ways(asked, demand)) for demand in ordered}
    return tuple(Clashing(demand.sentence, found[demand]) for demand in conflict)


def _ways(asked: _Asked, demand: Demand) -> Iterator[WayOut]:
    wish, figure = asked.wish, demand.figure
    match demand.kind:
        case "required":
            rest = tuple(name for name in wish.required if name != figure)
            if asked.may_be(replace(wish, required=rest), None):
                yield WayOut(f"Without {figure}", asked.instead(required=rest))
        case "avoided":
            rest = tuple(name for name in wish.avoid if name != figure)
            if asked.may_be(replace(wish, avoid=rest), None):
                yield WayOut(f"Let {figure} be in it", asked.instead(avoid=rest))
        case "start":
            if asked.may_be(replace(wish, start=None, after=None), None):
                yield WayOut("Let it start anyhow", asked.instead(start=ANYHOW))
        case "end":
            if asked.may_be(replace(wish, end=None, is_round=False), None):
                yield WayOut("Let it end anyhow", asked.instead(end=ANYHOW))
        case "beats":
            yield from _lengths(asked)
        case "untaught":
            yield from _later(asked, figure)
        case "in a row":
            yield from _at_the_figure(asked, figure)


def _lengths(asked: _Asked) -> Iterator[WayOut]:
    """The nearest shorter and the nearest longer one, in whole phrases where phrases were asked for and one
    is possible."""
    dance = asked.level.dance
    bar = dance.beats_per_bar
    bars = int(asked.wish.beats / bar)
    steps = [(1, BARS)]
    if bars % dance.bars_per_phrase == 0:
        steps.insert(0, (dance.bars_per_phrase, PHRASES))
    for step, unit in steps:
        found = [
            *_nearest(asked, range(bars - step, 0, -step)),
            *_nearest(asked, range(bars + step, MOST_BARS + 1, step)),
        ]
        for length in found:
            number = length // step
            said = amount(Fraction(number), "phrase" if unit == PHRASES else "bar")
            yield WayOut(f"Make it {said} long", asked.instead(length=str(number), unit=unit))
        if found:
            return


def _nearest(asked: _Asked, lengths: range) -> Iterator[int]:
    bar = asked.level.dance.beats_per_bar
    for length in lengths:
        if asked.may_be(replace(asked.wish, beats=Fraction(length * bar)), None):
            yield length
            return


def _later(asked: _Asked, figure: str) -> Iterator[WayOut]:
    """The first moment of the same course at which it is known, else the level with all its figures."""
    chosen = asked.moments.chosen
    same = [moment for moment in asked.moments.offered.values() if moment.course == chosen.course]
    for moment in (*same, *asked.moments.offered.values()):
        if figure in moment.known and moment.key != chosen.key:
            if asked.may_be(asked.wish, moment):
                course = f" in {moment.course}" if moment.course else ""
                yield WayOut(f"Ask {moment.label}{course}", asked.instead(clock=moment.key))
            return


def _at_the_figure(asked: _Asked, figure: str) -> Iterator[WayOut]:
    """How often a figure may stand in a row is its own."""
    row = next((row for passage, row in asked.dances.rows.items() if passage.figure == figure), None)
    if row is not None:
        address = reverse("curriculum:figure-edit", args=[row.figure_id])
        yield WayOut(f"Change how often {figure} may stand in a row", address)
