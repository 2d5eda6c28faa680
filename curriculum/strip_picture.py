"""Where everything of a strip lies: blocks as long as their beats on a ruler of bars, wrapped over lines.

Only places and sizes; shapes and colours are the template's and the stylesheet's. Unit: one unit is about
one CSS pixel when the picture is shown as wide as it is meant for.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple, Protocol

from curriculum.models import Dance, FloorUse

SIDE = 14
RULER = 26
BLOCK = 84
# Under the blocks: the marks of the joins, their words where there is room for them, and in a dance that
# travels the sides of the room.
MARKS, WORDS, SIDES = 30, 22, 26
SIDE_NAMES = ("long side", "short side")
LETTER = 8.1
# Joins that are said in words under their mark; those that flow are not worth it.
SAID = ("change", "broken")
WORD_WIDTH = 130
SIDE_NAME_WIDTH = 84
LINES_OF_TEXT = 3
# Width of a bar on a line of so many bars.
BAR_WIDTH = {8: 116, 4: 78}


class Block(Protocol):
    """What the picture needs of a block of the strip (curriculum.strip.StripBlock)."""

    @property
    def number(self) -> int: ...
    @property
    def place(self) -> int: ...
    @property
    def name(self) -> str: ...
    @property
    def start(self) -> Fraction: ...
    @property
    def beats(self) -> Fraction: ...
    @property
    def is_taught(self) -> bool: ...
    @property
    def after_corner(self) -> bool: ...
    @property
    def corners(self) -> tuple[int, ...]: ...
    @property
    def join(self): ...  # type: ignore[no-untyped-def]  # StripJoin or None


class Tick(NamedTuple):
    """A mark of the ruler: "phrase", "bar" or "beat"; a bar's carries its number."""

    x: float
    kind: str
    height: int
    label: str = ""


@dataclass(frozen=True)
class Piece:
    """A block, or the part of one that lies on this line. `rows`: its name, wrapped, with each row's y."""

    x: float
    width: float
    number: int
    place: int
    name: str
    rows: tuple[tuple[float, str], ...]
    is_taught: bool
    begins: bool
    ends: bool

    @property
    def right(self) -> float:
        return self.x + self.width


@dataclass(frozen=True)
class Mark:
    """How a block is come to: the shape `kind` and its `word`, each empty where there is none. `corner`: the
    place of the corner it is come to by, 0 without one."""

    x: float
    kind: str
    word: str
    corner: int

    @property
    def at_start(self) -> bool:
        """So near the line's start that a word in the middle under it would be cut off."""
        return self.x < WORD_WIDTH / 2


@dataclass(frozen=True)
class RoomSide:
    """A stretch danced along one side of the room; `turns`: a corner lies at its end, on this line."""

    x: float
    end: float
    name: str
    turns: bool

    @property
    def label(self) -> str:
        """Its name, where there is room for it."""
        return self.name if self.end - self.x >= SIDE_NAME_WIDTH else ""


@dataclass
class Line:
    """One line of the picture, drawn from y = `top`. `sides_at`: where in it the room's sides are ruled."""

    top: int
    sides_at: int
    end: float
    ticks: list[Tick] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    sides: list[RoomSide] = field(default_factory=list)


@dataclass(frozen=True)
class Picture:
    width: int
    height: int
    lines: tuple[Line, ...]


def draw(
    blocks: Sequence[Block],
    dance: Dance,
    *,
    bars_a_line: int,
    corners_before: int = 0,
    last_corners: tuple[int, ...] = (),
) -> Picture:
    """Lay the blocks out, `bars_a_line` bars to a line; a block that crosses a line's end is cut in two.

    `corners_before`: corners of the room behind the couple when they begin, which is on a long side (common
    practice, no source). `last_corners`: places of those behind the last block.
    """
    bar_beats = dance.beats_per_bar
    line_beats = bars_a_line * bar_beats
    scale = BAR_WIDTH[bars_a_line] / bar_beats
    total = sum((block.beats for block in blocks), Fraction(0))
    # A row of figures without length still has its line.
    bars = max(-(-total // bar_beats), 1)
    says_words = bars_a_line > 4 and any(block.join and block.join.mark in SAID for block in blocks)
    travels = dance.floor_use == FloorUse.TRAVELS
    sides_at = RULER + BLOCK + MARKS + (WORDS if says_words else 0)
    height = sides_at + (SIDES if travels else 0)
    lines = [
        _ruled(
            number,
            number * height,
            sides_at,
            min(bars_a_line, bars - number * bars_a_line),
            bars_a_line,
            dance,
        )
        for number in range(-(-bars // bars_a_line))
    ]
    for block in blocks:
        for number, begin, end in _cut(block, line_beats):
            lines[number].pieces.append(_piece(block, begin, end, scale, number * line_beats))
        if block.join is not None or block.after_corner:
            number = min(int(block.start // line_beats), len(lines) - 1)
            x = SIDE + float(block.start - number * line_beats) * scale
            lines[number].marks.append(_mark(block, x, lines[number].marks if says_words else None))
    if last_corners:
        lines[-1].marks.append(Mark(lines[-1].end, "", "", last_corners[-1]))
    if travels:
        for number, side in _sides(blocks, line_beats, scale, corners_before):
            lines[number].sides.append(side)
    width = bars_a_line * BAR_WIDTH[bars_a_line] + 2 * SIDE
    return Picture(width, len(lines) * height, tuple(lines))


def _mark(block: Block, x: float, before: Sequence[Mark] | None) -> Mark:
    """The mark of how a block is come to. `before`: the line's marks so far; None where no words are said.

    A word that would run into the one before it is left out: the mark says it, and so does the list.
    """
    corner = block.corners[-1] if block.corners else 0
    if block.join is None:
        return Mark(x, "", "", corner)
    last = max((mark.x for mark in before or () if mark.word), default=-math.inf)
    is_said = before is not None and block.join.mark in SAID and x - last >= WORD_WIDTH
    return Mark(x, block.join.mark, block.join.word if is_said else "", corner)


def _ruled(number: int, top: int, sides_at: int, bars: int, bars_a_line: int, dance: Dance) -> Line:
    bar_beats = dance.beats_per_bar
    scale = BAR_WIDTH[bars_a_line] / bar_beats
    line = Line(top=top, sides_at=sides_at, end=SIDE + bars * BAR_WIDTH[bars_a_line])
    for beat in range(bars * bar_beats + 1):
        x = SIDE + beat * scale
        bar, inside = divmod(beat, bar_beats)
        if inside:
            line.ticks.append(Tick(x, "beat", 5))
            continue
        whole = number * bars_a_line + bar
        phrase = whole % dance.bars_per_phrase == 0
        label = str(whole + 1) if bar < bars else ""
        line.ticks.append(Tick(x, "phrase" if phrase else "bar", 20 if phrase else 12, label))
    return line


def _sides(
    blocks: Sequence[Block], line_beats: int, scale: float, corners: int
) -> Iterator[tuple[int, RoomSide]]:
    """The sides of the room under the blocks: (line, what is ruled on it)."""
    begin = Fraction(0)
    end = blocks[-1].start + blocks[-1].beats if blocks else begin
    turns = [(block.start, len(block.corners)) for block in blocks if block.corners]
    for stop, more in [*turns, (end, 0)]:
        for number, low, high in _cut_stretch(begin, stop, line_beats):
            left = number * line_beats
            x, right = (SIDE + float(beat - left) * scale for beat in (low, high))
            yield number, RoomSide(x, right, SIDE_NAMES[corners % 2], turns=bool(more) and high == stop)
        begin, corners = stop, corners + more


def _cut(block: Block, line_beats: int) -> Iterator[tuple[int, Fraction, Fraction]]:
    """The block's parts: (line, first beat, last beat), beats from the start of the routine."""
    yield from _cut_stretch(block.start, block.start + block.beats, line_beats)


def _cut_stretch(begin: Fraction, end: Fraction, line_beats: int) -> Iterator[tuple[int, Fraction, Fraction]]:
    while begin < end:
        number = int(begin // line_beats)
        stop = min(end, Fraction((number + 1) * line_beats))
        yield number, begin, stop
        begin = stop


def _piece(block: Block, begin: Fraction, end: Fraction, scale: float, line_begins: int) -> Piece:
    width = float(end - begin) * scale
    letters = max(int((width - 12) / LETTER), 3)
    begins = begin == block.start
    said = block.name if begins else f"… {block.name}"
    return Piece(
        x=SIDE + float(begin - line_begins) * scale,
        width=width,
        number=block.number,
        place=block.place,
        name=block.name,
        rows=tuple((RULER + 37 + 17 * place, row) for place, row in enumerate(_wrapped(said, letters))),
        is_taught=block.is_taught,
        begins=begins,
        ends=end == block.start + block.beats,
    )


@lru_cache(maxsize=1000)
def _wrapped(said: str, letters: int) -> tuple[str, ...]:
    """A name in rows of so many letters; many blocks have the same."""
    rows = textwrap.wrap(said, letters, break_long_words=False, max_lines=LINES_OF_TEXT, placeholder=" …")
    return tuple(row if len(row) <= letters else f"{row[: letters - 1]}…" for row in rows)
