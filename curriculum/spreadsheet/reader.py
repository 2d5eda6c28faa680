"""A file's bytes into rows. Everything that makes the whole file useless is said in one sentence."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from curriculum.spreadsheet.columns import COLUMNS, Header, meant_by, read_header
from curriculum.spreadsheet.csv_file import csv_rows
from curriculum.spreadsheet.values import Sheet, SheetRow, UnreadableFile
from curriculum.spreadsheet.xlsx_file import xlsx_rows

MOST_BYTES: Final = 5 * 1024 * 1024
MOST_ROWS: Final = 5_000
# Empty rows count too, somewhere: a workbook can claim a million of them.
_MOST_ROWS_LOOKED_AT: Final = 50_000

TOO_LARGE: Final = "The file is larger than 5 MB. A syllabus is far smaller: is it the right file?"
TOO_MANY_ROWS: Final = "The file has more than 5,000 rows. Import it in parts, a level at a time."
# Of names that are none of ours: so many are repeated, and so much of each.
_MOST_STRANGE: Final = 12
_LONGEST_SHOWN: Final = 40
_SOMETHING_ELSE: Final = (
    (b"%PDF", "This is a PDF, not a spreadsheet. Choose a CSV or XLSX file."),
    (b"\xd0\xcf\x11\xe0", "This is a workbook of the old kind (XLS). Save it as XLSX, or as CSV UTF-8."),
    (b"\x89PNG", "This is a picture, not a spreadsheet. Choose a CSV or XLSX file."),
    (b"\xff\xd8\xff", "This is a picture, not a spreadsheet. Choose a CSV or XLSX file."),
    (b"{\\rtf", "This is a text document, not a spreadsheet. Choose a CSV or XLSX file."),
    (b"<", "This is a web page or an XML file, not a spreadsheet. Choose a CSV or XLSX file."),
)


def read_sheet(data: bytes, name: str = "") -> Sheet:
    """The rows of a CSV or XLSX file; what it is is seen from its first bytes, not from its name.

    Raises UnreadableFile with one sentence for a file that cannot be used at all.
    """
    if len(data) > MOST_BYTES:
        raise UnreadableFile(TOO_LARGE)
    if not data.strip():
        raise UnreadableFile("The file is empty.")
    remarks: list[str] = []
    rows = xlsx_rows(data, remarks) if data.startswith(b"PK") else _text_rows(data)
    try:
        header = _header(next(rows, []))
    except UnreadableFile as refusal:
        raise UnreadableFile(" ".join([str(refusal), *remarks])) from refusal
    if header.strange:
        named = ", ".join(f"“{name}”" for name in header.strange)
        remarks.append(f"Not one of our columns, so left out: {named}.")
    found = tuple(_data_rows(rows, header))
    if not found:
        raise UnreadableFile("The file names its columns but has no rows under them.")
    return Sheet(found, tuple(remarks), name)


def _text_rows(data: bytes) -> Iterator[list[str]]:
    start = data.removeprefix(b"\xef\xbb\xbf").lstrip()[:8]
    for signature, sentence in _SOMETHING_ELSE:
        if start.startswith(signature):
            raise UnreadableFile(sentence)
    if b"\x00" in data[:65_536] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableFile("This file is neither CSV nor XLSX. Choose one of the two.")
    return csv_rows(data)


def _header(cells: list[str]) -> Header:
    header = read_header(cells)
    if header.twice:
        raise UnreadableFile(f"The column “{header.twice[0]}” stands in the file twice.")
    if not header.missing:
        return header
    if len(header.missing) == len(COLUMNS):
        said = [f"The first row must name the columns: {', '.join(COLUMNS)}."]
    else:
        named = ", ".join(f"“{column}”" for column in header.missing)
        noun, verb = ("columns", "are") if len(header.missing) > 1 else ("column", "is")
        said = [f"The {noun} {named} {verb} missing."]
    said.append("A column may be empty, but none may be left out.")
    if header.strange:
        said.append(f"Not one of our columns: {', '.join(_strange(header))}.")
    raise UnreadableFile(" ".join(said))


def _strange(header: Header) -> Iterator[str]:
    """The first of the names that are none of ours, each with what it was likely meant for."""
    for name in header.strange[:_MOST_STRANGE]:
        likely = meant_by(name, header.missing)
        shown = name if len(name) <= _LONGEST_SHOWN else f"{name[:_LONGEST_SHOWN]}…"
        yield f"“{shown}” (meant for “{likely}”?)" if likely else f"“{shown}”"
    if len(header.strange) > _MOST_STRANGE:
        yield f"and {len(header.strange) - _MOST_STRANGE} more"


def _data_rows(rows: Iterator[list[str]], header: Header) -> Iterator[SheetRow]:
    found = letters = 0
    for number, cells in enumerate(rows, start=2):
        if number > _MOST_ROWS_LOOKED_AT:
            raise UnreadableFile(TOO_MANY_ROWS)
        texts = {column: cells[place] for column, place in header.places.items() if place < len(cells)}
        if not any(text.strip() for text in texts.values()):
            continue
        if any(cell.strip() for cell in cells[header.width :]):
            raise UnreadableFile(
                f"Row {number} has more cells than there are columns. A cell with a comma or semicolon in it "
                "must stand between quotation marks."
            )
        found += 1
        letters += sum(map(len, texts.values()))
        if found > MOST_ROWS:
            raise UnreadableFile(TOO_MANY_ROWS)
        if letters > MOST_BYTES:
            raise UnreadableFile(TOO_LARGE)
        yield SheetRow(number, texts)
