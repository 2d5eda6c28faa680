"""XLSX workbooks, read by openpyxl without formulas: what a cell last showed is what counts.

A workbook is a zip of XML, and a small one can unpack to gigabytes. Before a byte is unpacked the sizes it
states are added up (Python's zipfile never reads more than a part states), and a part with a DTD, which no
spreadsheet program writes, is refused.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from fractions import Fraction
from typing import Final
from xml.etree.ElementTree import ParseError

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from curriculum.spreadsheet.cells import TICKS_PER_BEAT, say_date, say_ticks
from curriculum.spreadsheet.values import UnreadableFile

MOST_UNPACKED: Final = 60 * 1024 * 1024
MOST_PARTS: Final = 2_000
MOST_COLUMNS: Final = 64
# What zipfile, the XML parser and openpyxl raise on parts they cannot make sense of.
_DAMAGED: Final = (
    zipfile.BadZipFile,
    zlib.error,
    InvalidFileException,
    ParseError,
    LookupError,
    ValueError,
    TypeError,
    AttributeError,
    NotImplementedError,
    RuntimeError,
    OSError,
    EOFError,
)
_FORMULA: Final = re.compile(rb"<(?:\w+:)?f[\s>/]")
_BROKEN: Final = "This workbook is damaged and cannot be opened. Save it again as XLSX, or as CSV UTF-8."
_BOMB: Final = "This workbook unpacks to far more than a syllabus needs and was not opened."
_NO_WORKBOOK: Final = "This is a zip file, but no XLSX workbook. Choose a CSV or XLSX file."


def xlsx_rows(data: bytes, remarks: list[str]) -> Iterator[list[str]]:
    """Every row of the first sheet as text, the header first. Says in `remarks` which sheet was read."""
    _refuse_bomb(data)
    try:
        with warnings.catch_warnings():
            # openpyxl warns of things it does not read, such as pictures and colours.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
            sheets = book.worksheets
            if not sheets:
                raise UnreadableFile("This workbook has no sheet with cells.")
            if len(sheets) > 1:
                title = sheets[0].title
                remarks.append(f"The workbook has {len(sheets)} sheets; the first, “{title}”, was read.")
            for cells in sheets[0].iter_rows(max_col=MOST_COLUMNS, values_only=True):
                yield [_text(value) for value in cells]
            book.close()
            _refuse_unknown_results(data)
    except UnreadableFile:
        raise
    except _DAMAGED as error:
        raise UnreadableFile(_BROKEN) from error


def _refuse_unknown_results(data: bytes) -> None:
    """A formula whose result the file does not keep would be read as an empty cell, so it is refused."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        sheets = [part for part in packed.namelist() if part.startswith("xl/worksheets/")]
        if not any(_FORMULA.search(packed.read(part)) for part in sheets):
            return
    shown = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    typed = load_workbook(io.BytesIO(data), read_only=True, keep_links=False)
    rows = (book.worksheets[0].iter_rows(max_col=MOST_COLUMNS) for book in (shown, typed))
    for row in zip(*rows, strict=False):
        for result, cell in zip(*row, strict=False):
            if result.value is None and cell.data_type == "f":
                raise UnreadableFile(
                    f"Cell {cell.coordinate} holds the formula {str(cell.value)[:40]}, and the workbook does "
                    "not keep what it comes to. Open it in your spreadsheet program and save it again, or "
                    "write the value instead."
                )


def _refuse_bomb(data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            names = {part.filename for part in parts}
            if "mimetype" in names and "content.xml" in names:
                raise UnreadableFile("This is an OpenDocument file. Save it as XLSX, or as CSV UTF-8.")
            if "[Content_Types].xml" not in names or not any(name.startswith("xl/") for name in names):
                raise UnreadableFile(_NO_WORKBOOK)
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise UnreadableFile(_BOMB)
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    with packed.open(part) as opened:
                        if b"<!DOCTYPE" in opened.read(4096).upper():
                            raise UnreadableFile(_NO_WORKBOOK)
    except UnreadableFile:
        raise
    except _DAMAGED as error:
        raise UnreadableFile(_BROKEN) from error


def _text(value: object) -> str:
    """A cell as it would be typed: 18.0 is 18, a third is 1/3 although the file holds 0.333…"""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and math.isfinite(value):
        return _number(value)
    if isinstance(value, dt.date):
        return say_date(value)
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    return str(value)


def _number(value: float) -> str:
    twelfths = Fraction(value).limit_denominator(TICKS_PER_BEAT) * TICKS_PER_BEAT
    near = abs(float(twelfths) / TICKS_PER_BEAT - value) < 1e-6
    if value < 0 or twelfths.denominator != 1 or not near:
        return repr(value)
    return say_ticks(int(twelfths))
