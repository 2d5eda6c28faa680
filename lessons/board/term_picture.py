"""The loads of several courses under each other, week by week: where each bar lies, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.board.picture import heights
from lessons.board.term import Line, TermSheet
from lessons.board.values import Column, Week

WIDTH, NAMES, HEAD = 1120.0, 236.0, 40.0
TALLEST_BAND, ALL_BANDS = 110.0, 620.0


@dataclass(frozen=True)
class Bar:
    """A lesson in its week: from the band's floor, minutes of new and again, against the room there is."""

    column: Column
    x: float
    width: float
    new: float
    again: float
    room: float

    @property
    def half(self) -> float:
        return round(self.width / 2, 2)


@dataclass(frozen=True)
class Band:
    """A course: its floor, and its bars."""

    line: Line
    top: float
    floor: float
    bars: tuple[Bar, ...]
    gaps: tuple[tuple[float, float], ...]

    @property
    def high(self) -> float:
        return round(self.floor - self.top - 6, 2)

    @property
    def words(self) -> list[tuple[Column, str]]:
        return [(bar.column, bar.column.gauge.words) for bar in self.bars if bar.column.gauge]


@dataclass(frozen=True)
class Mark:
    week: Week
    x: float


@dataclass(frozen=True)
class TermPicture:
    weeks: tuple[Mark, ...]
    bands: tuple[Band, ...]
    height: float
    width: float = WIDTH
    names: float = NAMES


def term_picture(sheet: TermSheet) -> TermPicture:
    """The drawing of a term's courses. No query."""
    week = (WIDTH - NAMES) / max(len(sheet.weeks), 1)
    high = min(TALLEST_BAND, ALL_BANDS / max(len(sheet.lines), 1))
    weeks = tuple(Mark(one, round(NAMES + week * place, 2)) for place, one in enumerate(sheet.weeks))
    bands = tuple(
        _band(line, HEAD + high * place, high, week, sheet.tallest) for place, line in enumerate(sheet.lines)
    )
    return TermPicture(weeks, bands, HEAD + high * len(sheet.lines) + 8)


def _band(line: Line, top: float, high: float, week: float, tallest: int) -> Band:
    scale = (high - 26) / max(tallest, 1)
    bars: list[Bar] = []
    gaps = []
    for place, columns in enumerate(line.cells):
        left = NAMES + week * place
        held = [column for column in columns if column.gauge]
        bars += _bars(held, left, week, scale)
        if not held:
            gaps.append((round(left, 2), round(week, 2)))
    return Band(line, round(top, 2), round(top + high - 18, 2), tuple(bars), tuple(gaps))


def _bars(columns: Sequence[Column], left: float, week: float, scale: float) -> list[Bar]:
    """Side by side where a week has several lessons."""
    share = week / max(len(columns), 1)
    width = min(share * 0.6, 34.0)
    return [
        Bar(
            column,
            round(left + share * (place + 0.5) - width / 2, 2),
            round(width, 2),
            *heights(column.gauge, scale),
        )
        for place, column in enumerate(columns)
        if column.gauge
    ]
