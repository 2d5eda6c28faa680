"""Minutes a placing of figures puts on each lesson of a problem."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lessons.problems.course import CourseProblem


@dataclass(frozen=True)
class Load:
    """Minutes of a lesson: for what is new (or finished), for what comes again, and the room there is."""

    new: int
    again: int
    room: int


def loads(
    problem: CourseProblem, introductions: Mapping[str, int], reviews: Iterable[tuple[str, int]]
) -> list[Load]:
    """Every lesson's load; history weighs nothing. `reviews`: pairs of figure and lesson index."""
    figures = {figure.key: figure for figure in problem.problem.figures}
    slots = problem.problem.lessons
    new, again = [0] * len(slots), [0] * len(slots)
    for key, at in introductions.items():
        owed = problem.problem.unfinished.get(key)
        shares = figures[key].part_minutes() if owed is None else (owed,)
        for lesson, minutes in zip(range(at, len(slots)), shares, strict=False):
            new[lesson] += minutes
    for key, at in reviews:
        again[at] += figures[key].review_minutes
    return [
        Load(new[slot.index], again[slot.index], slot.minutes)
        if slot.index >= problem.first_to_come
        else Load(0, 0, slot.minutes)
        for slot in slots
    ]
