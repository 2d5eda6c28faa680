"""A plan exists: why does this figure stand where it stands? By the check and by arithmetic, in milliseconds.

A better place is one that would bring the aims lower, in their rank, if the figure stood there and all
others stayed; what stands in its way is the place's own findings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from .places import Place, places_for
from .term_history import standing
from .term_values import Review, TermProblem


@dataclass(frozen=True)
class Why:
    """`index`: where the figure is new, None if it is left out; `better`: the nearest better place, if any;
    `before`, `behind`: the nearest lessons to come on either side, whatever they say.
    """

    key: str
    index: int | None
    better: Place | None
    before: Place | None
    behind: Place | None


def why_here(
    problem: TermProblem, introductions: Mapping[str, int], reviews: Sequence[Review], key: str
) -> Why:
    """Why `key` stands where the plan has it; of a figure left out the nearest is counted from the first
    lesson to come. Raises ProblemError if it is no figure of the term."""
    first, at = standing(problem).first, introductions.get(key)
    here = first if at is None else at
    others = [
        place
        for place in places_for(problem, introductions, reviews, key)[first:]
        if place.index not in (None, at) and place.aims_after
    ]
    others.sort(key=lambda place: (abs(_index(place) - here), _index(place)))
    return Why(
        key,
        at,
        _first(place for place in others if _is_better(place)),
        _first(place for place in others if _index(place) < here),
        _first(place for place in others if _index(place) > here),
    )


def _first(places: Iterable[Place]) -> Place | None:
    return next(iter(places), None)


def _index(place: Place) -> int:
    return -1 if place.index is None else place.index


def _is_better(place: Place) -> bool:
    """By the aims in their rank: the first that differs decides."""
    return tuple(place.aims_after.values()) < tuple(place.aims_before.values())
