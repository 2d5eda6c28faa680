"""Ways out where no routine can be composed: what to ask for instead, demand by demand, each tried first."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, islice
from typing import Final

from django.http import QueryDict
from django.urls import reverse

from curriculum.compose_form import ANYHOW, BARS, MOST_BARS, PHRASES
from curriculum.composing import Wish, may_be
from curriculum.models import Level
from curriculum.routine_bench import Dances
from curriculum.routine_clock import ChosenMoment, Moments
from curriculum.rules.compose import Demand
from curriculum.rules.wording import amount, spoken_list

SECONDS: Final = 3.0
"""How long ways out are tried: what was not tried by then is not offered."""
MOST_TRIED: Final = 64
"""So many sets of figures are tried for one that is smaller than what was found."""


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
    time_is_over: Callable[[], bool]

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

    asked = _Asked(sent, wish, level, moments, dances, tried, lambda: time.monotonic() > until)
    charted = {passage.figure for passage in dances.passages} & moments.chosen.known
    if charted and charted <= set(wish.avoid):
        rest = tuple(name for name in wish.avoid if name not in charted)
        who = "them" if len(charted) > 1 else spoken_list(list(charted))
        ways = (WayOut(f"Let {who} be in it", asked.instead(avoid=rest)),)
        possible = tried(replace(wish, avoid=rest))
        return (Clashing("Every figure that could be danced is to be left out.", ways if possible else ()),)
    # Lengths take longest to try.
    ordered = sorted(conflict, key=lambda demand: demand.kind == "beats")
    found = {demand: tuple(_ways(asked, demand)) for demand in ordered}
    return tuple(Clashing(demand.sentence, found[demand]) for demand in conflict)


def _ways(asked: _Asked, demand: Demand) -> Iterator[WayOut]:
    wish, figure = asked.wish, demand.figure
    match demand.kind:
        case "required":
            others = tuple(name for name in wish.required if name != figure)
            away = _fewest_away(asked, wish, others)
            if away is not None:
                rest = tuple(name for name in others if name not in away)
                yield WayOut(_without(figure, away, rest), asked.instead(required=rest))
        case "avoided":
            avoid = tuple(name for name in wish.avoid if name != figure)
            if asked.may_be(replace(wish, avoid=avoid), None):
                yield WayOut(f"Let {figure} be in it", asked.instead(avoid=avoid))
        case "start":
            free = replace(wish, start=None, after=None)
            yield from _also_without(asked, free, "Let it start anyhow", start=ANYHOW)
        case "end":
            free = replace(wish, end=None, is_round=False)
            yield from _also_without(asked, free, "Let it end anyhow", end=ANYHOW)
        case "beats":
            yield from _lengths(asked)
        case "untaught":
            yield from _later(asked, figure)
        case "in a row":
            yield from _at_the_figure(asked, figure)


def _also_without(asked: _Asked, free: Wish, said: str, **fields: str) -> Iterator[WayOut]:
    """One demand given up, with as few of the required figures as it takes."""
    away = _fewest_away(asked, free, free.required)
    if away is not None:
        rest = tuple(name for name in free.required if name not in away)
        without = f", without {spoken_list(away)}" if away else ""
        yield WayOut(f"{said}{without}", asked.instead(required=rest, **fields))


def _fewest_away(asked: _Asked, wish: Wish, required: Sequence[str]) -> tuple[str, ...] | None:
    """Of the required figures the fewest that must go for the rest to be possible, tried one more at a time;
    where there are too many of those, some of which none could stay. None where all gone is not enough."""

    def is_possible(kept: Collection[str]) -> bool:
        rest = tuple(name for name in required if name in kept)
        return asked.may_be(replace(wish, required=rest), None)

    if is_possible(required):
        return ()
    if not is_possible(()):
        return None
    kept: list[str] = []
    for name in _shortest_first(asked.dances, required):
        if is_possible([*kept, name]):
            kept.append(name)
    fewer = (
        away for number in range(1, len(required) - len(kept)) for away in combinations(required, number)
    )
    for away in islice(fewer, MOST_TRIED):
        if asked.time_is_over():
            break
        if is_possible(set(required) - set(away)):
            return away
    return tuple(name for name in required if name not in kept)


def _shortest_first(dances: Dances, figures: Sequence[str]) -> list[str]:
    """So that the most of them have room."""
    least: dict[str, Fraction] = {}
    for passage in dances.passages:
        beats = Fraction(passage.beats)
        least[passage.figure] = min(beats, least.get(passage.figure, beats))
    return sorted(figures, key=lambda name: least.get(name, Fraction(0)))


def _without(figure: str, away: Sequence[str], rest: Sequence[str]) -> str:
    """Where much goes and little stays it says what stays."""
    if rest and len(away) > len(rest) + 1:
        return f"Without {figure}, and of the others only {spoken_list(rest)}"
    return f"Without {figure}, together with {spoken_list(away)}" if away else f"Without {figure}"


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
