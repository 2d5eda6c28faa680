"""The term on one page: where every mark of the register lies in a drawing, and the same in words.

Only places and sizes, in the drawing's own units; shapes and colours are the template's and the stylesheet's.
Lessons stand as far apart as their weeks; between two marks of a figure stands how many lessons lie between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lessons.board.values import Board, Column, Gauge, Mark, Row

# A high drawing is wide as well, so that it fills the page across.
LEAST_WIDTH, ACROSS = 1120.0, 1.68
NAMES, HEAD = 236.0, 62.0
# Height of a row by how many there are, so that sixty still stand on one page.
ROWS = ((12, 30.0), (24, 24.0), (40, 17.0), (10**6, 13.5))
LOAD = 86.0


@dataclass(frozen=True)
class Stop:
    """A lesson, or a gap, on the ruler: the middle of its column, and the column's left edge and width."""

    column: Column
    x: float
    left: float
    width: float
    month: str = ""


@dataclass(frozen=True)
class Drawn:
    """A mark at a place; `kind` and `state` as on the register."""

    mark: Mark
    x: float
    number: int | None


@dataclass(frozen=True)
class Distance:
    """From one mark of a figure to the next: so many lessons."""

    left: float
    right: float
    lessons: int

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


@dataclass(frozen=True)
class Track:
    """A figure's line across the page."""

    row: Row
    y: float
    marks: tuple[Drawn, ...]
    distances: tuple[Distance, ...]

    @property
    def words(self) -> str:
        """ "new in lesson 6; again in 7 (1 lesson later) and 9 (2 lessons later)"."""
        if not self.marks:
            return "in no lesson"
        said, before = [], None
        for drawn in self.marks:
            later = f" ({drawn.number - before} later)" if before and drawn.number else ""
            what = drawn.mark.word.lower()
            state = f", {drawn.mark.state_words}" if drawn.mark.state_words else ""
            said.append(f"{what} in lesson {drawn.number}{later}{state}")
            before = drawn.number
        return "; ".join(said)


@dataclass(frozen=True)
class Bar:
    """A lesson's load: from below, minutes of new and again, against the room there is."""

    stop: Stop
    new: float
    again: float
    room: float
    over: bool


@dataclass(frozen=True)
class Picture:
    stops: tuple[Stop, ...]
    tracks: tuple[Track, ...]
    bars: tuple[Bar, ...]
    row_height: float
    floor: float
    today: float | None
    width: float
    names: float = NAMES
    head: float = HEAD

    @property
    def foot(self) -> float:
        """Where the rows end."""
        return HEAD + self.row_height * len(self.tracks)

    @property
    def height(self) -> float:
        return self.floor + 22

    @property
    def deep(self) -> float:
        """From the ruler to the floor."""
        return self.floor - 20

    @property
    def letters(self) -> float:
        return min(14.0, self.row_height - 2)

    @property
    def half(self) -> float:
        """Half the side of a mark."""
        return min(8.0, self.row_height / 2 - 2)

    @property
    def side(self) -> float:
        return 2 * self.half

    @property
    def below(self) -> float:
        """From the middle of a row to the line under it."""
        return self.row_height / 2

    @property
    def title(self) -> str:
        count = len([stop for stop in self.stops if not stop.column.is_gap])
        return f"{len(self.tracks)} figures over {count} lessons: where each is new and where it comes again"


def picture_of(board: Board) -> Picture:
    """The drawing of a register. No query."""
    rows = board.rows
    high = next(height for most, height in ROWS if len(rows) <= most)
    floor = HEAD + high * len(rows) + LOAD
    width = max(LEAST_WIDTH, round(floor * ACROSS))
    stops = _stops(board, width)
    tracks = tuple(_track(row, HEAD + high * (place + 0.5), stops) for place, row in enumerate(rows))
    past = [stop for stop in stops if stop.column.is_past]
    edge = past[-1].left + past[-1].width if past else None
    return Picture(stops, tracks, _bars(stops, board.tallest), high, floor, edge, width)


def _stops(board: Board, width: float) -> tuple[Stop, ...]:
    """A gap takes a third of a lesson's width."""
    columns = [
        (column, week.month if not place else "")
        for week in board.weeks
        for place, column in enumerate(week.columns)
    ]
    shares = [1 / 3 if column.is_gap else 1.0 for column, _ in columns]
    unit = (width - NAMES) / max(sum(shares), 1)
    stops, left = [], NAMES
    for (column, month), share in zip(columns, shares, strict=True):
        own = round(unit * share, 2)
        stops.append(Stop(column, round(left + own / 2, 2), round(left, 2), own, month))
        left += own
    return tuple(stops)


def _track(row: Row, y: float, stops: Sequence[Stop]) -> Track:
    marks = [
        Drawn(mark, stop.x, stop.column.number)
        for stop, cell in zip(stops, row.cells, strict=True)
        for mark in cell.marks
    ]
    held = [drawn for drawn in marks if drawn.mark.state != "missed"]
    distances = tuple(
        Distance(one.x, other.x, other.number - one.number)
        for one, other in pairwise(held)
        if one.number and other.number and other.number > one.number
    )
    return Track(row, round(y, 2), tuple(marks), distances)


def _bars(stops: Sequence[Stop], tallest: int) -> tuple[Bar, ...]:
    scale = (LOAD - 34) / max(tallest, 1)
    return tuple(
        Bar(stop, *heights(stop.column.gauge, scale), over=bool(stop.column.gauge.over))
        for stop in stops
        if stop.column.gauge
    )


def heights(gauge: Gauge, scale: float) -> tuple[float, float, float]:
    """Of the minutes that are new, that come again, and that there are; `scale`: units a minute."""
    return round(gauge.new * scale, 2), round(gauge.again * scale, 2), round(gauge.room * scale, 2)
