"""The evening drawn as a ruler down the page: a fine mark each minute, a longer one every five, the longest
at the quarter hours of the wall clock. Each row carries its own stretch of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lessons.run_sheet.fitted import SheetRow

# How far a mark reaches into the page, in the units of the stretched picture.
MARKS = {"minute": 6, "five": 11, "quarter": 18}
PIXELS_A_MINUTE = 7


@dataclass(frozen=True)
class RuledRow:
    """A row of the sheet with its stretch of the ruler.

    marks: (kind, path) in a picture as many units high as the row has minutes; height: the least it should be
    drawn, in pixels.
    """

    row: SheetRow
    marks: tuple[tuple[str, str], ...]

    @property
    def height(self) -> int:
        return self.row.minutes * PIXELS_A_MINUTE


def ruled(rows: Iterable[SheetRow]) -> tuple[RuledRow, ...]:
    return tuple(_ruled(row) for row in rows)


def _ruled(row: SheetRow) -> RuledRow:
    start = row.starts.hour * 60 + row.starts.minute
    places: dict[str, list[int]] = {kind: [] for kind in MARKS}
    for minute in range(row.minutes):
        places[_kind(start + minute)].append(minute)
    paths = (
        (kind, "".join(f"M0 {minute}h{MARKS[kind]}" for minute in minutes))
        for kind, minutes in places.items()
    )
    return RuledRow(row, tuple((kind, path) for kind, path in paths if path))


def _kind(minute_of_day: int) -> str:
    if minute_of_day % 15 == 0:
        return "quarter"
    return "five" if minute_of_day % 5 == 0 else "minute"
