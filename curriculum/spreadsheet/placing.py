"""Where new figures, and those that change their level, come to stand in the syllabus."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from curriculum.spreadsheet.values import Changes, Standing, WantedFigure


def orders_afterwards(changes: Changes, standing: Standing) -> Mapping[str, tuple[str, ...]]:
    """Level -> its figures in order (main names afterwards), for each level a figure comes into.

    A figure that comes in stands behind the one in the row before it; with none before it on its level it
    goes first where the file speaks of others there, else last. Figures that stay keep their order.
    """
    stays, spoken_of = _staying(changes, standing)
    coming = sorted(_coming(changes, standing), key=lambda row: row.row)
    for row in coming:
        there = stays[row.level]
        if row.after is not None and row.after in there:
            there.insert(there.index(row.after) + 1, row.name)
        elif row.after is None and row.level in spoken_of:
            there.insert(0, row.name)
        else:
            there.append(row.name)
    return {row.level: tuple(stays[row.level]) for row in coming}


def _staying(changes: Changes, standing: Standing) -> tuple[dict[str, list[str]], set[str]]:
    wanted = {change.wanted.stands: change.wanted for change in changes.changed}
    stays: dict[str, list[str]] = defaultdict(list)
    spoken_of: set[str] = set()
    for figure in standing.figures:
        row = wanted.get(figure.name)
        if row is None:
            stays[figure.level].append(figure.name)
        elif row.level == figure.level:
            stays[figure.level].append(row.name)
        if figure.name not in changes.absent:
            spoken_of.add(figure.level)
    return stays, spoken_of


def _coming(changes: Changes, standing: Standing) -> list[WantedFigure]:
    levels = {figure.name: figure.level for figure in standing.figures}
    moved = [
        change.wanted
        for change in changes.changed
        if change.wanted.stands is not None and levels[change.wanted.stands] != change.wanted.level
    ]
    return [*changes.new, *moved]
