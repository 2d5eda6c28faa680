"""What the page of a dance shows: its levels from the lowest up, their figures in order, their routines."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from curriculum.access import levels_for
from curriculum.models import Dance, Figure, Level, Routine, name_key
from curriculum.spreadsheet.cells import did_you_mean
from school.models import Person


@dataclass(frozen=True)
class Rung:
    """A level with the figures to show and its routines. `minutes`: to introduce all its figures shown."""

    level: Level
    figures: tuple[Figure, ...]
    routines: tuple[Routine, ...]

    @property
    def minutes(self) -> int:
        return sum(figure.minutes_to_introduce for figure in self.figures)


@dataclass(frozen=True)
class Ladder:
    """`levels`: those one may choose from; `rungs`: those shown; `meant`: a name like the one sought."""

    levels: tuple[Level, ...]
    rungs: tuple[Rung, ...]
    words: str
    level: str
    found: int
    meant: str | None
    is_empty: bool

    @property
    def is_narrowed(self) -> bool:
        return bool(self.words or self.level)


def ladder_of(dance: Dance, *, reader: Person, words: str = "", level: str = "") -> Ladder:
    """The ladder as `reader` may see it, narrowed to figures one of whose names has `words` in it and to one
    level (its key as text). Five queries for any number of figures, one more for a student."""
    levels = tuple(levels_for(reader).filter(dance=dance))
    figures = tuple(Figure.objects.filter(level__in=levels).for_page().in_teaching_order())
    found = tuple(figure for figure in figures if _is_called(figure, words))
    routines: dict[int, list[Routine]] = defaultdict(list)
    for routine in Routine.objects.filter(level__in=levels).order_by("level__rank", "name"):
        routines[routine.level_id].append(routine)
    rungs = tuple(
        Rung(
            level=row,
            figures=tuple(figure for figure in found if figure.level_id == row.pk),
            routines=tuple(routines[row.pk]),
        )
        for row in levels
        if not level or str(row.pk) == level
    )
    if words:
        rungs = tuple(rung for rung in rungs if rung.figures)
    number = sum(len(rung.figures) for rung in rungs)
    meant = (
        None
        if number
        else did_you_mean(words, (row.name for figure in figures for row in figure.names.all()))
    )
    return Ladder(levels, rungs, words, level, number, meant, is_empty=not figures)


def _is_called(figure: Figure, words: str) -> bool:
    return not words or any(name_key(words) in row.key for row in figure.names.all())
