"""The evening drawn as a ruler down the page: a fine mark each minute, a longer one every five, the longest
at the quarter hours of the wall clock. Each row carries its own stretch of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lessons.runsheet import SheetRow

# How far a mark reaches into the page, in the units of the stretched picture.
MARKS = {"minute": 6, "five": 11, "quarter": 18}
PIXELS_A_MINUTE = 7
# A quarter hour is named beside its mark where it lies far enough from the start of any segment.
CLEAR_OF_A_START = 4


@dataclass(frozen=True)
class RuledRow:
    """A row of the sheet with its stretch of the ruler.

    marks: (kind, path) in a picture as many units high as the row has minutes; labels: (how far down in
    percent, the quarter hour there); height: the least it should be drawn, in pixels.
    """

    row: SheetRow
    marks: tuple[tuple[str, str], ...]
    labels: tuple[tuple[str, dt.time], ...]

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
    labels = (
        (f"{100 * minute / row.minutes:.2f}%", dt.time((start + minute) // 60 % 24, (start + minute) % 60))
        for minute in places["quarter"]
        if CLEAR_OF_A_START <= minute <= row.minutes - 2
    )
    return RuledRow(row, tuple((kind, path) for kind, path in paths if path), tuple(labels))


def _kind(minute_of_day: int) -> str:
    if minute_of_day % 15 == 0:
        return "quarter"
    return "five" if minute_of_day % 5 == 0 else "minute"
