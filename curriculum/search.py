"""Finding a figure by any of its names, in every dance the reader may read, mistyped too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from curriculum.access import levels_for
from curriculum.models import FigureName, name_key
from school.models import Person
from school.plain_letters import NEAR, likeness, plain_letters

MOST_NEAR: Final = 8
MOST_FOUND: Final = 100
LONGEST: Final = 80
_EXACT, _BEGINS, _WORD = 3.0, 2.0, 1.5


@dataclass(frozen=True)
class FoundFigure:
    """A figure by one of its names. `called`: that name, where it is not the main one.

    `score`: 3 for the name itself, 2 where it begins so, 1.5 where words of it do, below 1 how near it is.
    """

    figure: int
    name: str
    called: str
    dance: str
    level: str
    score: float


@dataclass(frozen=True)
class Finds:
    """`dances`: what was found, dance by dance, the best first in each. `near`: whether these are only names
    like what was asked for. `more`: how many are not shown."""

    words: str
    dances: tuple[tuple[str, tuple[FoundFigure, ...]], ...] = ()
    near: bool = False
    number: int = 0
    more: int = 0


def find_figures(words: str, *, reader: Person) -> Finds:
    """One query, whatever is asked for; a student's open levels cost another, once a request."""
    words = words.strip()[:LONGEST]
    asked = plain_letters(name_key(words))
    if not asked:
        return Finds(words)
    names = FigureName.objects.filter(figure__level__in=levels_for(reader)).order_by("dance__name", "pk")
    rows = names.values_list("figure_id", "figure__name", "name", "key", "dance__name", "figure__level__name")
    candidates = [
        FoundFigure(
            figure, main, "" if name == main else name, dance, level, _score(asked, plain_letters(key))
        )
        for figure, main, name, key, dance, level in rows
    ]
    found = _best_of_each(row for row in candidates if row.score > 1)
    near = not found
    if near:
        found = _best_of_each(row for row in candidates if row.score >= NEAR)[:MOST_NEAR]
    shown = found[:MOST_FOUND]
    return Finds(words, tuple(_by_dance(shown)), near, len(found), len(found) - len(shown))


def _score(asked: str, name: str) -> float:
    if name == asked:
        return _EXACT
    if name.startswith(asked):
        return _BEGINS
    words, wanted = name.split(), asked.split()
    if all(any(word.startswith(part) for word in words) for part in wanted):
        return _WORD
    return likeness(asked, name)


def _best_of_each(rows: Iterable[FoundFigure]) -> list[FoundFigure]:
    """Each figure once, by the name that fits best; the best first, then in the order of the alphabet."""
    best: dict[int, FoundFigure] = {}
    for row in rows:
        if row.figure not in best or row.score > best[row.figure].score:
            best[row.figure] = row
    return sorted(best.values(), key=lambda row: (-row.score, row.name, row.dance))


def _by_dance(rows: list[FoundFigure]) -> Iterator[tuple[str, tuple[FoundFigure, ...]]]:
    """The dance of the best comes first."""
    order = {dance: place for place, dance in enumerate(dict.fromkeys(row.dance for row in rows))}
    for dance, group in groupby(sorted(rows, key=lambda row: order[row.dance]), key=lambda row: row.dance):
        yield dance, tuple(group)
