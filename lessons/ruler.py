"""The evening drawn as a ruler down the page: a fine mark each minute, a longer one every five, the longest
at the quarter hours of the wall clock. Each row carries its own stretch of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lessons.runsheet import SheetRow

MARK = {"minute": 5, "five": 9, "quarter": 18}
PIXELS_A_MINUTE = 7


@dataclass(frozen=True)
class Tick:
    """A mark `at` minutes below the row's start, `length` long; a quarter hour names its time."""

    at: int
    kind: str
    time: dt.time

    @property
    def length(self) -> int:
        return MARK[self.kind]


@dataclass(frozen=True)
class RuledRow:
    """A row of the sheet with its stretch of the ruler; height: the least it should be drawn, in pixels."""

    row: SheetRow
    ticks: tuple[Tick, ...]

    @property
    def height(self) -> int:
        return self.row.minutes * PIXELS_A_MINUTE


def ruled(rows: Iterable[SheetRow]) -> tuple[RuledRow, ...]:
    return tuple(RuledRow(row, tuple(_ticks(row))) for row in rows)


def _ticks(row: SheetRow) -> Iterable[Tick]:
    start = row.starts.hour * 60 + row.starts.minute
    for minute in range(row.minutes):
        hour, past = divmod((start + minute) % (24 * 60), 60)
        kind = "quarter" if past % 15 == 0 else "five" if past % 5 == 0 else "minute"
        yield Tick(minute, kind, dt.time(hour, past))
