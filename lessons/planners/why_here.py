"""A plan exists: why does this figure stand where it stands? By the check and by arithmetic, in milliseconds.

A better place is one that would bring the aims lower, in their rank, if the figure stood there and all
others stayed. The nearest of them is named, and what stands in its way; if there is none, what the nearest
place that is open would cost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lessons.rules.quality import called

from .places import Place, places_for
from .term_values import Review, TermProblem


@dataclass(frozen=True)
class Why:
    """`index`: where the figure is new, None if it is left out; `better`: the nearest better place, if any;
    `open_place`: where there is none, the nearest other place that breaks nothing; `sentence`: all of it.
    """

    key: str
    index: int | None
    better: Place | None
    open_place: Place | None
    sentence: str


def why_here(
    problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review], key: str
) -> Why:
    """Why `key` stands where the plan has it. Raises ProblemError if it is no figure of the term."""
    places = places_for(problem, introductions, reviews, key)
    at = introductions.get(key)
    others = sorted((place for place in places if place.index != at), key=lambda place: _distance(place, at))
    better = [place for place in others if place.aims_after and _values(place) < _values_now(place)]
    if at is None:
        # Any lesson is better than none: the one with the least in its way tells most.
        better.sort(key=lambda place: len(place.findings))
    free = next((place for place in others if place.allowed), None)
    nearest = next(iter(better), None)
    sentence = _sentence(key, at, nearest, free)
    return Why(key, at, nearest, None if nearest else free, sentence)


def _distance(place: Place, at: int | None) -> tuple[int, int]:
    index = place.index or 0
    return (index if at is None else abs(index - at), index)


def _values(place: Place) -> list[int]:
    return list(place.aims_after.values())


def _values_now(place: Place) -> list[int]:
    return list(place.aims_before.values())


def _sentence(key: str, at: int | None, better: Place | None, free: Place | None) -> str:
    here = f"{key} is left out." if at is None else f"{key} is new in lesson {at + 1}."
    if better is not None:
        there = f"Lesson {(better.index or 0) + 1} would be better ({cost(better)})"
        if better.allowed:
            return f"{here} {there} and nothing stands in its way."
        return f"{here} {there}. In its way: {better.sentence}"
    if free is not None:
        return (
            f"{here} No lesson is better. In lesson {(free.index or 0) + 1} it would cost more: {cost(free)}."
        )
    return f"{here} It can stand in no other lesson as long as the rest stays."


def cost(place: Place) -> str:
    """What a place changes in the aims, in words; "as good as now" where nothing."""
    changes = [
        f"{called(aim)} {now} → {place.aims_after[aim]}"
        for aim, now in place.aims_before.items()
        if place.aims_after and place.aims_after[aim] != now
    ]
    return ", ".join(changes) or "as good as now"
