"""The composer: a routine of exactly so many beats out of what is taught, with as few repeats as can be.

The parts: compose_values.py what is asked and answered, compose_net.py where a couple can stand and what
leads on (compose_moves.py the same as arrays), compose_reach.py what can still be met from there,
compose_best.py what was found, compose_conflict.py why there is no such routine.

There are two ways. Without corners a routine costs the same in whatever order its figures are danced, so
that they are counted (compose_counts.py) and then brought into an order (compose_order.py). A corner hangs on
how much was danced before it; with corners a routine is searched from end to end (compose_search.py) by the
least it can still cost (compose_bound.py), and made better bit by bit (compose_better.py): compose_along.py.
"""

from __future__ import annotations

import time
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from typing import Final

from curriculum.rules.compose_along import compose_along
from curriculum.rules.compose_best import Best
from curriculum.rules.compose_conflict import clash, possible, without
from curriculum.rules.compose_counts import compose_by_counting
from curriculum.rules.compose_net import Net
from curriculum.rules.compose_values import Composition, Cost, Demand, Question, question
from curriculum.rules.stance import Floor, Passage, Stance
from curriculum.rules.wording import PLAIN_WORDS, Words, sentence

__all__ = ["Composition", "Cost", "Demand", "Question", "compose", "possible", "question", "without"]

_SECONDS_FOR_A_REASON: Final = 3.0
"""At least: why there is no routine is worth waiting for even when the time for the search is over."""


def compose(
    passages: Sequence[Passage],
    *,
    start: Stance,
    end: Stance | None = None,
    beats: int | Fraction,
    floor: Floor,
    taught: Collection[str],
    required: Collection[str] = (),
    avoid: Collection[str] = (),
    newest: Collection[str] = frozenset(),
    in_a_row: Mapping[str, int] | None = None,
    seconds: float = 5.0,
    seed: int = 1,
    corner_every: int | Fraction | None = None,
    words: Words = PLAIN_WORDS,
) -> Composition:
    """Compose a routine that goes on from `start`, is exactly `beats` long, and can go on into `end`.

    Only taught figures that are not to be avoided are danced, every required one among them, none more often
    in a row than `in_a_row` says (once, unless it says otherwise). Every join holds, after a free change or
    with give where needed. Among such routines the best has the fewest repeats (runs of a figure beyond its
    first), then the most of `newest`. A passage of no length is never placed. beats: from 0 up, in twelfths.

    corner_every: a corner of the room may lie wherever so many beats have been danced, between two different
    figures; None where the dance does not travel. words: names for keys in the sentences of a conflict.

    seed: decides between routines of equal cost and between ways through a figure that come to the same, so
    another seed gives another proposal where there is one to be found. Equal questions and seeds give equal
    answers unless the clock (`seconds`) ends the search.

    That there is none is proved exactly for up to 14 required figures; with more the answer may be "unknown"
    where it is "impossible", and a conflict may name more than it must.

    ValueError, with a sentence, for a length or a number of times that cannot be; TypeError for floats.
    """
    deadline = time.monotonic() + seconds
    asked = question(
        passages,
        start=start,
        end=end,
        beats=beats,
        floor=floor,
        taught=taught,
        required=required,
        avoid=avoid,
        newest=newest,
        in_a_row=in_a_row or {},
        corner_every=corner_every,
    )
    out_of_reach = _out_of_reach(asked, words)
    if out_of_reach is not None:
        return Composition("impossible", conflict=(out_of_reach,))
    best = Best(Net(asked, seed), asked)
    way = compose_along if best.net.every else compose_by_counting
    way(best, seed, deadline)
    if best.is_impossible:
        until = max(deadline, time.monotonic() + _SECONDS_FOR_A_REASON)
        conflict = clash(asked, words, lambda: time.monotonic() > until)
        return Composition("impossible", conflict=conflict)
    return best.answer()


def _out_of_reach(asked: Question, words: Words) -> Demand | None:
    """A required figure that cannot be in, whatever else is asked."""
    for figure in asked.required:
        name = words.figure(figure)
        if figure not in asked.taught:
            return Demand("untaught", figure, sentence(f"{name} must be in it and is not taught yet"))
        if figure in asked.avoid:
            return Demand("avoided", figure, sentence(f"{name} must be in it and is to be avoided"))
        if not any(passage.figure == figure for passage in asked.usable):
            return Demand("required", figure, sentence(f"{name} must be in it and has no way in and out"))
    return None
