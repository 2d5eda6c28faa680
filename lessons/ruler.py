"""The evening drawn as a ruler down the page: a fine mark each minute, a longer one every five, the longest
at the quarter hours of the wall clock. Each row carries its own stretch of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lessons.runsheet import SheetRow

MARK = {"minute": 6, "five": 11, "quarter": 18}
PIXELS_A_MINUTE = 7
# A quarter hour is named beside its mark where it lies far enough from the start of any segment.
CLEAR_OF_A_START = 4


@dataclass(frozen=True)
class Tick:
    """A mark some way down its row, in percent, `length` pixels long; label: the time of a quarter hour."""

    percent: str
    kind: str
    label: dt.time | None = None

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
        is_clear = CLEAR_OF_A_START <= minute <= row.minutes - 2
        label = dt.time(hour, past) if kind == "quarter" and is_clear else None
        yield Tick(f"{100 * minute / row.minutes:.2f}%", kind, label)
