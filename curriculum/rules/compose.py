"""The composer: a routine of exactly so many beats out of what is taught, with as few repeats as can be.

The parts: compose_values.py what is asked and answered, compose_net.py where a couple can stand and what
leads on, compose_reach.py what can still be met from there, compose_bound.py the least it can cost,
compose_search.py the search, compose_conflict.py why there is no such routine.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Collection, Mapping, Sequence
from fractions import Fraction
from typing import Final

from curriculum.rules.compose_bound import NEVER, SCALE, Bound, Scale, good_prices
from curriculum.rules.compose_conflict import clash, possible, without
from curriculum.rules.compose_net import Net, Run
from curriculum.rules.compose_reach import Completions
from curriculum.rules.compose_search import Search
from curriculum.rules.compose_values import Composition, Cost, Demand, Question, Status, question
from curriculum.rules.stance import CORNER, Floor, Passage, RoutineItem, Stance
from curriculum.rules.wording import PLAIN_WORDS, Words, sentence

__all__ = ["Composition", "Cost", "Demand", "Question", "compose", "possible", "question", "without"]

_WIDTHS: Final = (20, 100, 500, 2500, 10000)
_MOST_CELLS: Final = 30_000_000
"""Of the bound's table times the runs into each: what is tracked is limited so that it stays quick."""


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

    ValueError, with a sentence, for a length or a number of times that cannot be; TypeError for floats.
    """
    deadline = time.monotonic() + seconds

    def time_is_over() -> bool:
        return time.monotonic() > deadline

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
    if not possible(asked):
        return Composition("impossible", conflict=clash(asked, words, time_is_over))
    return _best(asked, seed, time_is_over)


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


def _best(asked: Question, seed: int, time_is_over: Callable[[], bool]) -> Composition:
    """The best routine of a question that has one, as far as the time allows."""
    net = Net(asked, seed)
    numbers = {figure: number for number, figure in enumerate(net.figures)}
    required = [numbers[figure] for figure in asked.required]
    completions = Completions(net, required)
    scale = Scale.of(net, asked.newest)
    chance = random.Random(seed)
    tracked = required[: _affordable(net)]
    nothing = [-new for new in scale.new]
    bound = Bound(net, scale, nothing, tracked, required)
    least, found_row, cost = bound.least, None, NEVER
    for width in _WIDTHS:
        search = Search(net, completions, bound, frozenset(required), chance, time_is_over)
        found = search.best_below(cost, width)
        if found.row is not None:
            found_row, cost = found.row, found.cost
        if found.complete:
            least = cost
        if least >= cost or time_is_over():
            break
        if width == _WIDTHS[0]:
            bound = Bound(
                net, scale, good_prices(net, scale, frozenset(required), time_is_over), tracked, required
            )
            least = max(least, bound.least)
    if found_row is None:
        return Composition("unknown")
    status: Status = "optimal" if least >= cost else "feasible"
    return Composition(status, _items(found_row), _cost(cost, scale), _cost(min(least, cost), scale))


def _affordable(net: Net) -> int:
    """How many figures the bound may track."""
    cells = max(1, len(net.runs) * (net.length or 1))
    return max(0, (_MOST_CELLS // cells).bit_length() - 1)


def _items(row: list[Run | None]) -> tuple[RoutineItem, ...]:
    items: list[RoutineItem] = []
    for run in row:
        items.extend((CORNER,) if run is None else run.passages)
    return tuple(items)


def _cost(cost: int, scale: Scale) -> Cost:
    """The one number of the search as the two of the contract."""
    again = scale.again // SCALE
    repeats = -(-cost // again)
    return repeats, cost - repeats * again
