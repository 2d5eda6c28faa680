"""One row against the figure that stands: which cells differ, said as they would be written."""

from __future__ import annotations

from collections.abc import Mapping

from curriculum.spreadsheet import columns
from curriculum.spreadsheet.cells import join_names, say_ticks
from curriculum.spreadsheet.values import CellError, FieldChange, StandingFigure, WantedFigure, Way
from curriculum.spreadsheet.wanted import ANY_HOLD

Fields = tuple[FieldChange, ...]
Values = tuple[object, str]
"""What is compared, and how it is said."""


def differences(
    wanted: WantedFigure, stands: StandingFigure, renamed: Mapping[str, str]
) -> tuple[Fields, tuple[CellError, ...]]:
    """The cells in which the row differs. Order matters for ways only: other names and needs are sets.

    A mistake is a way that would go although a routine dances it.
    """
    before = _said(stands, renamed)
    after = _said(wanted, {})
    fields = tuple(
        FieldChange(column, before[column][1], after[column][1])
        for column in columns.COLUMNS
        if before[column][0] != after[column][0]
    )
    return fields, _lost_from_routines(wanted, stands)


def way_cells(ways: tuple[Way, ...]) -> tuple[str, str]:
    """The cells “hold at start” and “hold at end” of these ways."""
    return join_names(start or ANY_HOLD for start, _ in ways), join_names(end or ANY_HOLD for _, end in ways)


def ways_to_write(
    stand: tuple[Way, ...], wanted: tuple[Way, ...]
) -> tuple[dict[Way, Way], tuple[Way, ...], tuple[Way, ...]]:
    """How the ways that stand become the wanted ones: (turned into another, taken away, new).

    Ways in both stay. The first that goes turns into the first that comes, so that its free foot, place and
    chart are kept.
    """
    gone = [way for way in stand if way not in wanted]
    come = [way for way in wanted if way not in stand]
    shared = min(len(gone), len(come))
    return dict(zip(gone, come, strict=False)), tuple(gone[shared:]), tuple(come[shared:])


def _said(figure: StandingFigure | WantedFigure, renamed: Mapping[str, str]) -> dict[str, Values]:
    starts, ends = way_cells(figure.ways)
    needs = tuple(renamed.get(name, name) for name in figure.needs)
    return {
        columns.LEVEL: (figure.level, figure.level),
        columns.FIGURE: (figure.name, figure.name),
        columns.OTHER_NAMES: (frozenset(figure.other_names), join_names(figure.other_names)),
        columns.BEATS: (figure.ticks, say_ticks(figure.ticks)),
        columns.MINUTES: (figure.minutes, str(figure.minutes)),
        columns.REVIEW: (figure.review_minutes, str(figure.review_minutes)),
        columns.HOLD_AT_START: (tuple(start for start, _ in figure.ways), starts),
        columns.HOLD_AT_END: (tuple(end for _, end in figure.ways), ends),
        columns.NEEDS: (frozenset(needs), join_names(needs)),
        columns.NOTES: (figure.notes, figure.notes),
    }


def _lost_from_routines(wanted: WantedFigure, stands: StandingFigure) -> tuple[CellError, ...]:
    _, gone, _ = ways_to_write(stands.ways, wanted.ways)
    return tuple(
        CellError(
            wanted.row,
            columns.HOLD_AT_START,
            f"the way {way[0] or ANY_HOLD} to {way[1] or ANY_HOLD} of “{stands.name}” is danced in "
            f"{', '.join(f'“{name}”' for name in stands.danced[way])}; take it out of there first",
        )
        for way in gone
        if way in stands.danced
    )
