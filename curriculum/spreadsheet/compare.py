"""All rows of a file against a dance as it stands: what would be new, what changes, and every mistake.

Pure. The dance after the import is worked out first (names, levels, needs), and everything that reaches
over a row is checked on that: a need may be met by a figure further down, or by one the file does not
speak of.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from curriculum.rules.naming import name_key
from curriculum.spreadsheet import columns
from curriculum.spreadsheet.cells import did_you_mean, nearly_called
from curriculum.spreadsheet.differences import differences
from curriculum.spreadsheet.needs_check import check_needs
from curriculum.spreadsheet.values import (
    CellError,
    ChangedFigure,
    Changes,
    NearName,
    Sheet,
    Standing,
    StandingFigure,
    WantedFigure,
)
from curriculum.spreadsheet.wanted import read_row

# Looking for what was meant compares with every name. Where there are thousands, only the first mistakes
# get a hint: 60 figures allow 800 of them, 5,000 figures ten, which takes seconds.
MOST_COMPARED: Final = 50_000
# The same for names nearly alike, which are quicker to compare: 400 new figures beside 1,000 names.
MOST_NEAR_COMPARED: Final = 400_000


def compare(sheet: Sheet, standing: Standing) -> Changes:
    """What the file would do to the dance. With one error among `errors` nothing may be done."""
    errors: list[CellError] = []
    read = [read_row(row, standing, errors) for row in sheet.rows]
    levels = _levels([row for row in read if row is not None], standing)
    matched = _match([row for row in read if row is not None], standing, errors)
    wanted = [_on_its_level(row, levels) for row in matched]
    stands = {figure.name: figure for figure in standing.figures}
    spoken_of = {row.stands for row in wanted}
    absent = [figure for figure in standing.figures if figure.name not in spoken_of]

    names = _names_afterwards(wanted, absent, errors)
    wanted = [_with_needs(row, names, standing.dance, errors) for row in wanted]
    renamed = {row.stands: row.name for row in wanted if row.stands is not None}
    check_needs(wanted, absent, renamed, levels.ranks, errors)

    changed, unchanged = _sort_out(wanted, stands, renamed, errors)
    # What a row with a mistake would do cannot be told.
    mistaken = {error.row for error in errors}
    return Changes(
        new=tuple(row for row in _placed(wanted) if row.stands is None and row.row not in mistaken),
        changed=tuple(change for change in changed if change.wanted.row not in mistaken),
        unchanged=unchanged,
        absent=tuple(figure.name for figure in absent),
        new_levels=levels.new,
        errors=tuple(sorted(errors, key=_place_of_error)),
        remarks=(*sheet.remarks, *levels.remarks),
        near=_near(wanted, standing),
    )


def _near(wanted: list[WantedFigure], standing: Standing) -> tuple[NearName, ...]:
    """New figures whose name is a slip away from one that a figure has; among too many none is looked for."""
    new = [row for row in wanted if row.stands is None]
    whose = {name: figure.name for figure in standing.figures for name in (figure.name, *figure.other_names)}
    if len(new) * len(whose) > MOST_NEAR_COMPARED:
        return ()
    found = ((row, nearly_called(row.name, whose)) for row in new)
    return tuple(NearName(row.row, row.name, whose[name]) for row, name in found if name is not None)


def _place_of_error(error: CellError) -> tuple[int, int]:
    return error.row, columns.COLUMNS.index(error.column)


@dataclass(frozen=True, slots=True)
class _Levels:
    """The ladder after the import: key -> name, name -> rank, the new ones, and doubts about them."""

    names: Mapping[str, str]
    ranks: Mapping[str, int]
    new: tuple[str, ...]
    remarks: tuple[str, ...]


def _levels(rows: list[WantedFigure], standing: Standing) -> _Levels:
    """New levels come at the top, in the order in which the file names them."""
    names = {name_key(level): level for level in standing.levels}
    remarks: list[str] = []
    new: list[str] = []
    for row in rows:
        if not row.level or name_key(row.level) in names:
            continue
        meant = did_you_mean(row.level, standing.levels)
        if meant:
            remarks.append(
                f"“{row.level}” (row {row.row}) will be a new level. "
                f"If you meant “{meant}”, change it in the file first."
            )
        names[name_key(row.level)] = row.level
        new.append(row.level)
    ranks = {name: rank for rank, name in enumerate(names.values(), start=1)}
    return _Levels(names, ranks, tuple(new), tuple(remarks))


def _on_its_level(row: WantedFigure, levels: _Levels) -> WantedFigure:
    return replace(row, level=levels.names.get(name_key(row.level), row.level))


def _match(rows: list[WantedFigure], standing: Standing, errors: list[CellError]) -> list[WantedFigure]:
    """Which standing figure a row speaks of: the one of that main name; else, if no other row speaks of
    it, the one that has it among its other names and so gets a new main name. A figure named twice in the
    file is a mistake of the later row, which is left out of all that follows."""
    once: dict[str, WantedFigure] = {}
    for row in rows:
        first = once.setdefault(name_key(row.name), row)
        if first is not row:
            errors.append(
                CellError(row.row, columns.FIGURE, f"“{row.name}” stands already in row {first.row}")
            )
    mains = {name_key(figure.name): figure.name for figure in standing.figures}
    others = {name_key(name): figure.name for figure in standing.figures for name in figure.other_names}
    taken = {mains[key] for key in once if key in mains}
    matched = []
    for key, row in once.items():
        stands = mains.get(key)
        if stands is None and others.get(key) not in taken:
            stands = others.get(key)
        if stands is not None:
            taken.add(stands)
        matched.append(replace(row, stands=stands))
    return matched


def _names_afterwards(
    wanted: list[WantedFigure], absent: list[StandingFigure], errors: list[CellError]
) -> dict[str, str]:
    """Every name after the import (its key) -> the figure's main name. A name of two figures is a mistake."""
    names: dict[str, str] = {}
    where: dict[str, str] = {}
    for figure in absent:
        for name in (figure.name, *figure.other_names):
            names[name_key(name)] = figure.name
            where[name_key(name)] = f"of “{figure.name}”, which is not in the file"
    # Main names first: where a main name and another row's other name meet, the other name is the mistake.
    for row in wanted:
        _claim(row.name, row, columns.FIGURE, names, where, errors)
    for row in wanted:
        for name in row.other_names:
            _claim(name, row, columns.OTHER_NAMES, names, where, errors)
    return names


def _claim(
    name: str,
    row: WantedFigure,
    column: str,
    names: dict[str, str],
    where: dict[str, str],
    errors: list[CellError],
) -> None:
    key = name_key(name)
    if key in names:
        errors.append(CellError(row.row, column, f"“{name}” is already a name {where[key]}"))
        return
    names[key] = row.name
    where[key] = f"of “{row.name}”, in row {row.row}"


def _with_needs(
    row: WantedFigure, names: Mapping[str, str], dance: str, errors: list[CellError]
) -> WantedFigure:
    """The row with its needs by their main names."""
    needs: dict[str, None] = {}
    for name in row.needs:
        found = names.get(name_key(name))
        if found is not None:
            needs[found] = None
            continue
        meant = None
        if len(errors) * len(names) < MOST_COMPARED:
            meant = did_you_mean(name, dict.fromkeys(other for other in names.values() if other != row.name))
        hint = f"; did you mean “{meant}”?" if meant else ""
        errors.append(CellError(row.row, columns.NEEDS, f"there is no figure “{name}” in {dance}{hint}"))
    return replace(row, needs=tuple(needs))


def _sort_out(
    wanted: list[WantedFigure],
    stands: Mapping[str, StandingFigure],
    renamed: Mapping[str, str],
    errors: list[CellError],
) -> tuple[tuple[ChangedFigure, ...], tuple[str, ...]]:
    changed: list[ChangedFigure] = []
    unchanged: list[str] = []
    for row in _placed(wanted):
        if row.stands is None:
            continue
        fields, mistakes = differences(row, stands[row.stands], renamed)
        errors.extend(mistakes)
        if fields:
            changed.append(ChangedFigure(row, fields))
        else:
            unchanged.append(row.name)
    return tuple(changed), tuple(unchanged)


def _placed(wanted: list[WantedFigure]) -> list[WantedFigure]:
    """Each row with the figure that goes before it on its level, so that a new one finds its place."""
    last: dict[str, str] = {}
    placed = []
    for row in wanted:
        placed.append(replace(row, after=last.get(row.level)))
        last[row.level] = row.name
    return placed
