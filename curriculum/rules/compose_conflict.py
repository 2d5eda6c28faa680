"""Why no routine meets everything asked of it: demands that clash, none of which could be spared."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import groupby

from curriculum.rules.compose_net import Net
from curriculum.rules.compose_reach import NO_FIGURE, Completions, of_any_length
from curriculum.rules.compose_values import Demand, Question
from curriculum.rules.stance import UNKNOWN
from curriculum.rules.wording import Words, amount, sentence


def demands(asked: Question, words: Words) -> Iterator[Demand]:
    """Everything asked that could be asked less, what is chosen least deliberately first."""
    keys = list(dict.fromkeys(passage.figure for passage in asked.passages))
    names = {key: words.figure(key) for key in (*keys, *asked.required)}
    for key in keys:
        times = asked.row(key)
        if times is not None:
            yield Demand("in a row", key, sentence(f"{names[key]} is danced {_at_most(times)}"))
    for key in keys:
        if key not in asked.taught:
            yield Demand("untaught", key, sentence(f"{names[key]} is not taught yet"))
    for key in keys:
        if key in asked.avoid:
            yield Demand("avoided", key, sentence(f"{names[key]} is to be avoided"))
    if asked.end is not None:
        yield Demand("end", "", "It must end so that what follows can go on from it.")
    if asked.start != UNKNOWN:
        yield Demand("start", "", "It must go on from where the couple stands.")
    for key in asked.required:
        yield Demand("required", key, sentence(f"{names[key]} must be in it"))
    if asked.beats is not None:
        yield Demand("beats", "", f"It must be exactly {amount(asked.beats, 'beat')} long.")


def without(asked: Question, demand: Demand) -> Question:
    """The question with that one demand taken away."""
    key = demand.figure
    match demand.kind:
        case "in a row":
            return replace(asked, rows={**asked.rows, key: None})
        case "untaught":
            return replace(asked, taught=asked.taught | {key})
        case "avoided":
            return replace(asked, avoid=asked.avoid - {key})
        case "end":
            return replace(asked, end=None)
        case "start":
            return replace(asked, start=UNKNOWN)
        case "required":
            return replace(asked, required=tuple(other for other in asked.required if other != key))
        case "beats":
            return replace(asked, beats=None)


def possible(asked: Question) -> bool:
    """Whether there is any such routine. Exact."""
    net = Net(asked)
    numbers = {figure: number for number, figure in enumerate(net.figures)}
    if any(figure not in numbers for figure in asked.required):
        return False
    required = [numbers[figure] for figure in asked.required]
    if net.length is None:
        return of_any_length(net, required)
    completions = Completions(net, required)
    return completions.possible(0, 0, NO_FIGURE, completions.missing_at_start)


def clash(
    asked: Question,
    words: Words,
    time_is_over: Callable[[], bool],
    is_possible: Callable[[Question], bool] = possible,
) -> tuple[Demand, ...]:
    """The demands of a question that has no answer, narrowed down until none of them could be spared.

    When the time is over it may name more than it must. is_possible: of another kind of question.
    """
    kept: list[Demand] = []
    everything = list(demands(asked, words))
    groups = [list(group) for _, group in groupby(everything, key=lambda demand: demand.kind)]
    for group in groups:
        asked = _spare(asked, group, kept, time_is_over, is_possible)
    return tuple(demand for demand in reversed(everything) if demand in kept)


def _spare(
    asked: Question,
    group: list[Demand],
    kept: list[Demand],
    time_is_over: Callable[[], bool],
    is_possible: Callable[[Question], bool],
) -> Question:
    """Take away whole halves of the group where the rest still clashes; what could not go is kept."""
    less = _without_all(asked, group)
    if not time_is_over() and not is_possible(less):
        return less
    if len(group) == 1 or time_is_over():
        kept.extend(group)
        return asked
    half = len(group) // 2
    asked = _spare(asked, group[:half], kept, time_is_over, is_possible)
    return _spare(asked, group[half:], kept, time_is_over, is_possible)


def _without_all(asked: Question, group: Iterable[Demand]) -> Question:
    for demand in group:
        asked = without(asked, demand)
    return asked


def _at_most(times: int) -> str:
    said = {0: "not at all", 1: "at most once in a row", 2: "at most twice in a row"}
    return said.get(times, f"at most {times} times in a row")
