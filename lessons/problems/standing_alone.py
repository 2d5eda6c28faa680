"""A drop-in course: each evening stands alone and uses only what its level knows."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from lessons.planners.term_values import FigureToTeach
from lessons.problems.wording import spoken_list


@dataclass(frozen=True)
class Alone:
    """The figures as a drop-in evening may have them, which share an evening, and what to say of it."""

    figures: tuple[FigureToTeach, ...]
    together: tuple[frozenset[str], ...]
    notes: tuple[str, ...]


def standing_alone(
    figures: Sequence[FigureToTeach], *, taught: Collection[str], most_new: int, to_come: range
) -> Alone:
    """Nothing is finished another evening or comes again; what a figure needs from its own level is taught
    the same evening before it.

    `taught`: names given on an evening that has been, which tonight's people may have missed; `to_come`: the
    lessons to come. A figure whose needs cannot share its evening is left out and said.
    """
    own = {figure.key for figure in figures}
    alone, together, notes = [], [], []
    for figure in figures:
        needs = (figure.needs | figure.after) & own
        figure = replace(
            figure, review_minutes=0, parts=1, needs=figure.needs - own, after=figure.after | needs
        )
        hindered = "" if figure.key in taught else _hindered(needs, taught, most_new)
        if hindered:
            notes.append(f"{figure.key} needs {spoken_list(sorted(needs))}{hindered}")
            barred = figure.barred | set(to_come)
            figure = replace(
                figure, required=False, pinned=None, latest=None, after=frozenset(), barred=barred
            )
        elif needs and figure.key not in taught:
            together.append(frozenset({figure.key, *needs}))
        else:
            figure = replace(figure, after=figure.after - own)
        alone.append(figure)
    return Alone(tuple(alone), tuple(_merged(together)), tuple(notes))


def _hindered(needs: Collection[str], taught: Collection[str], most_new: int) -> str:
    if any(need in taught for need in needs):
        return ", given on another evening: a drop-in evening builds on nothing but what its level knows."
    if len(needs) + 1 > most_new:
        return f" on the same evening, which takes {most_new} new: a drop-in evening stands alone."
    return ""


def _merged(groups: Sequence[frozenset[str]]) -> Iterator[frozenset[str]]:
    """Sets that share a figure are one set."""
    left = list(groups)
    while left:
        group = left.pop(0)
        while touching := [other for other in left if other & group]:
            left = [other for other in left if other not in touching]
            group = group.union(*touching)
        yield group
