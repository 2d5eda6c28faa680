"""CSV in UTF-8, with or without a byte order mark, between commas, semicolons or tabs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Final

from curriculum.spreadsheet.columns import read_header
from curriculum.spreadsheet.values import UnreadableFile

DELIMITERS: Final = (",", ";", "\t")
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
_SAVE_AS: Final = "Save it again as “CSV UTF-8”, or as XLSX."


def csv_rows(data: bytes) -> Iterator[list[str]]:
    """Every row of the file as text, the header first. UnreadableFile with a sentence."""
    text = _decode(data)
    delimiter = _delimiter(text)
    # strict: a quotation mark that is never closed would else swallow the rest of the file.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, start=1):  # noqa: B007 - said in the sentence below
            yield cells
    except csv.Error as error:
        raise UnreadableFile(
            f"Row {number + 1} cannot be read as CSV: a quotation mark is not closed, or a cell is too long."
        ) from error


def _decode(data: bytes) -> str:
    if data.startswith(_UTF_16):
        raise UnreadableFile(f"This file is written in UTF-16, not in UTF-8. {_SAVE_AS}")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise UnreadableFile(
            f"This file is not written in UTF-8: line {line} has a letter that cannot be read. {_SAVE_AS}"
        ) from error


def _delimiter(text: str) -> str:
    """The one that lets more of our columns be recognised in the first line."""
    first = text.split("\n", 1)[0]

    def recognised(delimiter: str) -> int:
        try:
            cells = next(csv.reader([first], delimiter=delimiter), [])
        except csv.Error:
            return 0
        return len(read_header(cells).places)

    return max(DELIMITERS, key=recognised)
