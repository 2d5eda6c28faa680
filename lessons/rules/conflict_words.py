"""Why a term can't all fit, as a person would say it: demands of one kind in one sentence, needs as a chain.

The solver names a conflict demand by demand, each in a sentence of its own; six lessons that take one new
figure each are six demands and one thought.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

TOGETHER_FROM = 2
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True)
class Demand:
    """One demand of a conflict. kind: as in the planner's Reason, and "after" for a need that may be met on
    the same evening. `lessons` from 0. `limit`: minutes of a room, or most new figures. `why`: why a lesson
    takes nothing new, if it does not."""

    kind: str
    keys: tuple[str, ...]
    lessons: tuple[int, ...]
    sentence: str
    limit: int | None = None
    why: str = ""


@dataclass(frozen=True)
class Thought:
    """Demands of one kind in one sentence. `keys`, `lessons`: what it names, and where it can be changed;
    `of`: the demands themselves; none, where it only adds them up."""

    kind: str
    sentence: str
    keys: tuple[str, ...] = ()
    lessons: tuple[int, ...] = ()
    of: tuple[Demand, ...] = ()


def thoughts(demands: Sequence[Demand], *, to_come: int) -> tuple[Thought, ...]:
    """The conflict in sentences, what weighs most first. `to_come`: lessons the term still has."""
    of = {kind: [one for one in demands if one.kind == kind] for kind in {one.kind for one in demands}}
    told: list[Thought] = []
    told += _in_a_row(of.get("need", []), of.get("most", []), to_come=to_come)
    told += _asked(of.pop("required", []), of, has_needs="need" in of, to_come=to_come)
    told += _chains(of.pop("need", []))
    told += _most(of.pop("most", []))
    told += _rooms(of.pop("room", []))
    told += _barred(of.pop("barred", []))
    for rest in of.values():
        told += [Thought(one.kind, one.sentence, one.keys[:1], one.lessons, (one,)) for one in rest]
    return tuple(told)


def _in_a_row(needs: list[Demand], most: list[Demand], *, to_come: int) -> Iterator[Thought]:
    """The sum of figures that come one after another, where that alone is more than the lessons left."""
    open_needs: dict[str, list[str]] = {}
    for one in needs:
        open_needs.setdefault(one.keys[0], []).append(one.keys[1])
    chain = max((_longest(key, open_needs) for key in open_needs), key=len, default=())
    free = to_come - sum(not one.limit for one in most)
    if len(chain) > free:
        many, row = _number(len(chain)).capitalize(), ", then ".join(reversed(chain))
        are = "is one lesson" if free == 1 else f"are {_number(free)} lessons"
        yield Thought(
            "sum",
            f"{many} figures must come one after another, each in a lesson of its own, and there {are} to "
            f"come that can take one: {row}.",
        )


def _asked(
    required: list[Demand], of: Mapping[str, list[Demand]], *, has_needs: bool, to_come: int
) -> Iterator[Thought]:
    if len(required) < TOGETHER_FROM:
        yield from (Thought("required", one.sentence, one.keys, (), (one,)) for one in required)
        return
    keys = tuple(one.keys[0] for one in required)
    many = f"{_number(len(keys)).capitalize()} figures must be taught"
    most, filled = of.get("most", []), _filled(of)
    counted = {one.lessons[0] for one in most} | filled.keys()
    if most and not has_needs and len(counted) == to_come:
        places = sum(one.limit or 0 for one in most if one.lessons[0] not in filled)
        room = "place for one" if places == 1 else f"places for {_number(places)}"
        lessons = "lesson to come has" if to_come == 1 else "lessons to come have"
        rest = "".join(f", for the rest of {name} fills lesson {at + 1}" for at, name in filled.items())
        many += f", and the {_number(to_come)} {lessons} {room}{rest}"
    yield Thought("required", f"{many}: {_list(keys)}.", keys, (), tuple(required))


def _filled(of: Mapping[str, list[Demand]]) -> dict[int, str]:
    """Lessons that an unfinished figure leaves no room in for anything new: index -> the figure."""
    narrow = {one.lessons[0] for one in of.get("room", [])}
    return {
        one.lessons[0]: one.keys[0] for one in of.get("history", []) if one.keys and one.lessons[0] in narrow
    }


def _chains(needs: list[Demand]) -> Iterator[Thought]:
    """Every need once, along the longest rows: "whisk needs reverse turn, which needs natural turn"."""
    open_needs: dict[str, list[str]] = {}
    for one in needs:
        open_needs.setdefault(one.keys[0], []).append(one.keys[1])
    by_pair = {one.keys: one for one in needs}
    while open_needs:
        chain = max((_longest(key, open_needs) for key in open_needs), key=len)
        for key, need in pairwise(chain):
            open_needs[key].remove(need)
            if not open_needs[key]:
                del open_needs[key]
        row = f"{chain[0]} needs {', which needs '.join(chain[1:])}"
        several = len(chain) > TOGETHER_FROM
        of = tuple(by_pair[pair] for pair in pairwise(chain))
        yield Thought("need", f"{row}{', each' if several else ''} in an earlier lesson.", chain, (), of)


def _longest(key: str, needs: dict[str, list[str]]) -> tuple[str, ...]:
    rows = [_longest(need, needs) for need in needs.get(key, ())]
    return (key, *max(rows, key=len, default=()))


def _most(demands: list[Demand]) -> Iterator[Thought]:
    """Lessons that take equally many new figures, for the same reason, in one sentence."""
    for (limit, why), alike in _alike(demands):
        lessons = tuple(one.lessons[0] for one in alike)
        several = len(lessons) > 1
        figures = "new figure" if limit == 1 else "new figures"
        if not limit:
            takes = f"{'take' if several else 'takes'} nothing new{f': {why}' if why else ''}"
        elif several:
            takes = f"take at most {_number(limit)} {figures} each"
        else:
            takes = f"takes at most {_number(limit)} {figures}"
        yield Thought("most", f"{_lessons(lessons)} {takes}.", (), lessons, tuple(alike))


def _rooms(demands: list[Demand]) -> Iterator[Thought]:
    for (limit, _), alike in _alike(demands):
        lessons = tuple(one.lessons[0] for one in alike)
        has = "have room for" if len(lessons) > 1 else "has room for"
        each = " each" if len(lessons) > 1 else ""
        yield Thought("room", f"{_lessons(lessons)} {has} {limit} minutes{each}.", (), lessons, tuple(alike))


def _alike(demands: list[Demand]) -> Iterator[tuple[tuple[int, str], list[Demand]]]:
    def alike(one: Demand) -> tuple[int, str]:
        return (one.limit or 0, one.why)

    for key, found in groupby(sorted(demands, key=lambda one: (-(one.limit or 0), one.why)), key=alike):
        yield key, sorted(found, key=lambda one: one.lessons)


def _barred(demands: list[Demand]) -> Iterator[Thought]:
    by_figure: dict[str, list[Demand]] = {}
    for one in demands:
        by_figure.setdefault(one.keys[0], []).append(one)
    for key, own in by_figure.items():
        lessons = tuple(one.lessons[0] for one in own)
        where = _lessons(sorted(lessons)).lower()
        yield Thought("barred", f"{key} may not begin in {where}.", (key,), lessons, tuple(own))


def _lessons(indices: Sequence[int]) -> str:
    """ "Lesson 3", "Lessons 3 to 6", "Lessons 3, 4 and 7": as people count, from 1."""
    numbers = [index + 1 for index in indices]
    if len(numbers) == 1:
        return f"Lesson {numbers[0]}"
    if len(numbers) > TOGETHER_FROM and numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"Lessons {numbers[0]} to {numbers[-1]}"
    return f"Lessons {_list([str(number) for number in numbers])}"


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def _list(names: Iterable[str]) -> str:
    rows = list(names)
    return rows[0] if len(rows) == 1 else f"{', '.join(rows[:-1])} and {rows[-1]}"
