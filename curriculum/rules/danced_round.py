"""A routine composed so that it can be danced again from its start: its last figure leads into its first.

The composer is asked once for each stance in which a routine can begin, with that stance as its end too. The
first figure must then begin exactly there: with a change of hold before it, one more could be needed before
it is danced again. So the start is a hold of its own that nothing turns into, and only what begins there is
danced from it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from curriculum.rules.chain import check_routine
from curriculum.rules.compose import Composition, Demand, Question, compose, possible
from curriculum.rules.compose_conflict import clash
from curriculum.rules.compose_values import Cost
from curriculum.rules.joins import joins
from curriculum.rules.stance import Passage, Stance
from curriculum.rules.wording import PLAIN_WORDS, Words

_AT_THE_START: Final = "\0"
"""Before the name of a hold: the couple is about to begin in it."""
_LEAST_SECONDS: Final = 0.2
_SECONDS_FOR_A_REASON: Final = 3.0
ROUND: Final = Demand("end", "", "It must lead into its own start, to be danced again.")


@dataclass(frozen=True)
class _Round:
    """The question for one stance it begins in. begins: what may be danced first -> as it is known."""

    asked: Question
    begins: dict[Passage, Passage]


def compose_round(
    base: Question, *, seconds: float = 5.0, seed: int = 1, words: Words = PLAIN_WORDS
) -> Composition:
    """What `compose` answers, for a routine whose end leads into its own start. base: has no end.

    The best over all stances it can begin in, and the bound of all of them. A conflict names that it must be
    danced again, unless the rest alone cannot be met.
    """
    deadline = time.monotonic() + seconds
    found: list[Composition] = []
    rounds = [one for one in _rounds(base) if possible(one.asked)]
    if not rounds:
        return Composition("impossible", conflict=_why_not(base, words))
    first = seed % len(rounds)
    for place, one in enumerate([*rounds[first:], *rounds[:first]]):
        left = (deadline - time.monotonic()) / (len(rounds) - place)
        found.append(_composed(one, max(left, _LEAST_SECONDS), seed, words))
        if found[-1].cost == _least(base):
            break
    return _best(found, base)


def possible_round(base: Question) -> bool:
    """Whether there is any such routine; base: the question without its end. Exact, but for what only a
    second round would show."""
    return any(possible(one.asked) for one in _rounds(base))


def _rounds(base: Question) -> Iterator[_Round]:
    entries = dict.fromkeys(passage.entry for passage in base.usable)
    for entry in entries:
        if joins(base.start, entry, floor=base.floor):
            yield _from(base, entry)


def _from(base: Question, entry: Stance) -> _Round:
    foot = base.start.foot if entry.foot is None else entry.foot
    place = base.start.place if entry.place is None else entry.place
    if entry.hold is None:  # It begins in any hold, so that any end leads into it.
        return _Round(replace(base, start=replace(base.start, foot=foot, place=place), end=entry), {})
    start = Stance(_AT_THE_START + entry.hold, foot, place)
    begins = {
        replace(passage, entry=replace(entry, hold=start.hold)): passage
        for passage in base.usable
        if passage.entry == entry
    }
    return _Round(replace(base, passages=(*base.passages, *begins), start=start, end=entry), begins)


def _composed(one: _Round, seconds: float, seed: int, words: Words) -> Composition:
    """Not found where a second round would not connect after all."""
    asked = one.asked
    found = compose(
        asked.passages,
        start=asked.start,
        end=asked.end,
        beats=asked.beats or 0,
        floor=asked.floor,
        taught=asked.taught,
        required=asked.required,
        avoid=asked.avoid,
        newest=asked.newest,
        in_a_row={figure: times for figure, times in asked.rows.items() if times is not None},
        corner_every=asked.corner_every,
        seconds=seconds,
        seed=seed,
        words=words,
    )
    row = tuple(one.begins.get(item, item) if isinstance(item, Passage) else item for item in found.passages)
    twice = check_routine((*row, *row), floor=asked.floor, taught=asked.taught, bar_beats=1)
    if any(join.status == "broken" for join in twice.joins):
        return Composition("unknown", bound=found.bound)
    return replace(found, passages=row)


def _best(found: Sequence[Composition], base: Question) -> Composition:
    least = min(one.bound or _least(base) for one in found)
    costs = [(one.cost, place) for place, one in enumerate(found) if one.cost is not None]
    if not costs:
        return Composition("unknown")
    cost, place = min(costs)
    best = found[place]
    return replace(best, status="optimal" if cost <= least else "feasible", bound=min(cost, least))


def _least(base: Question) -> Cost:
    """What nothing can cost less than."""
    return 0, -len(base.newest & {passage.figure for passage in base.usable})


def _why_not(base: Question, words: Words) -> tuple[Demand, ...]:
    until = time.monotonic() + _SECONDS_FOR_A_REASON
    over: Callable[[], bool] = lambda: time.monotonic() > until  # noqa: E731
    if not possible(base):
        return clash(base, words, over)
    return (*clash(base, words, over, possible_round), ROUND)
