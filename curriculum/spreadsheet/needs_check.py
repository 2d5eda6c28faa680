"""What a figure needs after the import: not itself, nothing from a higher level, no circle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from curriculum.rules.syllabus import circle_sentence, find_circle
from curriculum.spreadsheet import columns
from curriculum.spreadsheet.values import CellError, StandingFigure, WantedFigure

# Circles said at most; mending these shows the others.
MOST_CIRCLES: Final = 20


def check_needs(
    wanted: list[WantedFigure],
    absent: list[StandingFigure],
    renamed: Mapping[str, str],
    ranks: Mapping[str, int],
    errors: list[CellError],
) -> None:
    """Add a mistake for each need that cannot be. `wanted` names its needs by main names afterwards;
    `absent` still by the names of now, which `renamed` leads to those afterwards."""
    rows = {row.name: row.row for row in wanted}
    levels = {figure.name: figure.level for figure in absent} | {row.name: row.level for row in wanted}
    needs: dict[str, frozenset[str]] = {row.name: frozenset(row.needs) for row in wanted}
    for figure in absent:
        needs[figure.name] = frozenset(renamed.get(name, name) for name in figure.needs)

    for figure_name, needed_names in needs.items():
        for needed in sorted(needed_names):
            _check_level(figure_name, needed, levels, ranks, rows, errors)
    _check_circles(needs, rows, errors)


def _check_level(
    name: str,
    needed: str,
    levels: Mapping[str, str],
    ranks: Mapping[str, int],
    rows: Mapping[str, int],
    errors: list[CellError],
) -> None:
    own, other = levels.get(name, ""), levels.get(needed, "")
    if own not in ranks or other not in ranks or ranks[other] <= ranks[own]:
        return
    if name in rows:
        sentence = f"“{needed}” is on {other}, a higher level than {own} where “{name}” is"
        errors.append(CellError(rows[name], columns.NEEDS, sentence))
    elif needed in rows:
        sentence = f"“{name}” on {own} needs “{needed}”, which would go up to {other}"
        errors.append(CellError(rows[needed], columns.LEVEL, sentence))


def _check_circles(
    needs: Mapping[str, frozenset[str]], rows: Mapping[str, int], errors: list[CellError]
) -> None:
    """One mistake a circle. After each it is opened where it begins, to see whether there is another."""
    left = dict(needs)
    for _ in range(MOST_CIRCLES):
        circle = find_circle(left)
        if circle is None:
            return
        start = next((place for place, name in enumerate(circle) if name in rows), 0)
        turned = circle[start:] + circle[:start]
        errors.append(CellError(rows.get(turned[0], 1), columns.NEEDS, circle_sentence(turned)))
        left[turned[0]] -= {turned[1 % len(turned)]}
