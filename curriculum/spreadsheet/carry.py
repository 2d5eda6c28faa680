"""The rows between preview and confirmation: signed, packed, and bound to the dance and the person.

They travel in the form itself, so nothing is left lying on the server when a preview is never confirmed,
and the file need not be chosen a second time. What is carried are the rows as they were read, never the
changes: these are worked out again when they are confirmed.
"""

from __future__ import annotations

from django.core import signing

from curriculum.spreadsheet.columns import COLUMNS
from curriculum.spreadsheet.reader import MOST_BYTES, TOO_LARGE
from curriculum.spreadsheet.values import Sheet, SheetRow, UnreadableFile

GOOD_FOR_SECONDS = 12 * 60 * 60


class NothingCarried(ValueError):  # noqa: N818 - says what is the matter
    """What came back is not what was given out, or is too old."""


def pack(sheet: Sheet, fingerprint: str, *, dance: int, person: int) -> str:
    """The sheet and the fingerprint of its preview as text for a hidden field."""
    rows = [[row.number, [row.cells.get(column, "") for column in COLUMNS]] for row in sheet.rows]
    content = {"rows": rows, "remarks": list(sheet.remarks)}
    content |= {"name": sheet.name, "fingerprint": fingerprint}
    packed = signing.dumps(content, salt=_salt(dance, person), compress=True)
    if len(packed) > MOST_BYTES:
        raise UnreadableFile(TOO_LARGE)
    return packed


def unpack(packed: str, *, dance: int, person: int) -> tuple[Sheet, str]:
    """What `pack` was given. Raises NothingCarried with a sentence."""
    try:
        content = signing.loads(packed, salt=_salt(dance, person), max_age=GOOD_FOR_SECONDS)
    except signing.BadSignature as error:
        raise NothingCarried("This preview is no longer good. Choose the file again.") from error
    rows = tuple(
        SheetRow(number, dict(zip(COLUMNS, cells, strict=True))) for number, cells in content["rows"]
    )
    return Sheet(rows, tuple(content["remarks"]), content["name"]), content["fingerprint"]


def _salt(dance: int, person: int) -> str:
    return f"curriculum.spreadsheet:{dance}:{person}"
