"""A dance as a file that imports unchanged, and in which no cell is run as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font

from curriculum.spreadsheet import columns
from curriculum.spreadsheet.cells import harmless, join_names, say_ticks
from curriculum.spreadsheet.differences import way_cells
from curriculum.spreadsheet.values import Standing, StandingFigure

CSV_TYPE = "text/csv; charset=utf-8"
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_NUMBERS = {columns.BEATS, columns.MINUTES, columns.REVIEW}
_WIDTHS = {
    columns.LEVEL: 16,
    columns.FIGURE: 30,
    columns.OTHER_NAMES: 26,
    columns.NEEDS: 34,
    columns.NOTES: 60,
}


def rows_of(standing: Standing) -> Iterator[list[str]]:
    """The header, then a row a figure in teaching order, as text."""
    yield list(columns.COLUMNS)
    for figure in standing.figures:
        cells = _cells(figure)
        yield [cells[column] for column in columns.COLUMNS]


def csv_bytes(standing: Standing) -> bytes:
    """CSV in UTF-8 between commas. The byte order mark tells spreadsheet programs that it is UTF-8."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows_of(standing))
    return text.getvalue().encode("utf-8-sig")


def xlsx_bytes(standing: Standing) -> bytes:
    """An XLSX workbook of one sheet; beats and minutes are numbers in it."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Figures")
    sheet.freeze_panes = "C2"
    for place, column in enumerate(columns.COLUMNS):
        sheet.column_dimensions["ABCDEFGHIJ"[place]].width = _WIDTHS.get(column, 14)
    rows = rows_of(standing)
    heads = []
    for text in next(rows):
        head = WriteOnlyCell(sheet, value=text)
        head.font = Font(bold=True)
        heads.append(head)
    sheet.append(heads)
    for row in rows:
        sheet.append([_value(column, text) for column, text in zip(columns.COLUMNS, row, strict=True)])
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def _cells(figure: StandingFigure) -> dict[str, str]:
    start, end = way_cells(figure.ways)
    return {
        columns.LEVEL: harmless(figure.level),
        columns.FIGURE: harmless(figure.name),
        columns.OTHER_NAMES: join_names(figure.other_names),
        columns.BEATS: say_ticks(figure.ticks),
        columns.MINUTES: str(figure.minutes),
        columns.REVIEW: str(figure.review_minutes),
        columns.HOLD_AT_START: start,
        columns.HOLD_AT_END: end,
        columns.NEEDS: join_names(figure.needs),
        columns.NOTES: harmless(figure.notes),
    }


def _value(column: str, text: str) -> str | float | None:
    if column in _NUMBERS:
        try:
            return float(text) if "." in text else int(text)
        except ValueError:
            pass
    return text or None
