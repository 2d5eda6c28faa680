"""A routine as a strip on the ruler of bars: what is danced when, how each join is, what is not yet taught.

`routine_strip` is the one presenter; `curriculum/_strip.html` shows what it gives, on the routine's own page
and wherever a course shows its routine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum import problems
from curriculum.models import Dance, FloorUse, Routine
from curriculum.models import Passage as PassageRow
from curriculum.rules.chain import CORNER, Join, Passage, RoutineItem, RoutineReport, stances_along
from curriculum.rules.wording import amount
from curriculum.stance_words import stance_words
from curriculum.strip_picture import Picture, draw

# Bars to a line: a phrase on a wide page, half of one on a phone.
WIDE, NARROW = 8, 4
JOIN_WORDS = {
    "holds": "flows",
    "give": "flows, turned a little more or less",
    "free change": "change hands first",
    "broken": "doesn’t connect",
}
JOIN_MARKS = {"holds": "flows", "give": "give", "free change": "change", "broken": "broken"}


@dataclass(frozen=True)
class StripJoin:
    """How a figure is come to. `mark` names its shape; `reason` is a sentence, or empty where it flows."""

    mark: str
    word: str
    reason: str

    @classmethod
    def of(cls, join: Join) -> StripJoin:
        reason = join.reason[:1].upper() + join.reason[1:] + "." if join.reason else ""
        return cls(JOIN_MARKS[join.status], JOIN_WORDS[join.status], reason)

    @property
    def said(self) -> str:
        """The word and the reason; only the reason where it says the word itself (“Change from … first.”)."""
        if self.mark == "change":
            return self.reason
        return f"{self.word}. {self.reason}" if self.reason else self.word


@dataclass(frozen=True)
class StripBlock:
    """A figure of the routine. `place`: its place in the row, corners counted, from 1; `start`: beats danced
    before it; `join`: None for the first; `corners`: places of those between it and the figure before."""

    number: int
    place: int
    name: str
    figure: int
    way: str
    start: Fraction
    beats: Fraction
    is_taught: bool
    join: StripJoin | None
    corners: tuple[int, ...]
    is_danceable: bool

    @property
    def after_corner(self) -> bool:
        return bool(self.corners)


@dataclass(frozen=True)
class RoutineStrip:
    """All a page shows of a routine. `danceable`: how many figures from the start can be danced."""

    routine: Routine
    blocks: tuple[StripBlock, ...]
    beats: Fraction
    bars: Fraction
    phrases: Fraction
    start: str
    end: str
    remarks: tuple[str, ...]
    untaught: tuple[str, ...]
    danceable: int
    last_corners: tuple[int, ...]
    wide: Picture
    narrow: Picture

    @property
    def marks(self) -> tuple[tuple[str, str], ...]:
        """The kinds of join there are in it, for the legend: (mark, word), each once."""
        kinds = {block.join.mark: block.join.word for block in self.blocks if block.join}
        return tuple(
            (JOIN_MARKS[status], word) for status, word in JOIN_WORDS.items() if JOIN_MARKS[status] in kinds
        )

    @property
    def length(self) -> str:
        """e.g. "48 beats, 16 bars, 2 phrases"; phrases only where they are whole, a remark says the rest."""
        lengths = [(self.beats, "beat"), (self.bars, "bar")]
        if self.phrases.denominator == 1:
            lengths.append((self.phrases, "phrase"))
        return ", ".join(amount(number, noun) for number, noun in lengths)

    @property
    def broken(self) -> int:
        return sum(block.join is not None and block.join.mark == "broken" for block in self.blocks)

    @property
    def last_danceable(self) -> StripBlock | None:
        return self.blocks[self.danceable - 1] if self.danceable else None


def routine_strip(
    routine: Routine,
    *,
    taught: frozenset[str] | None = None,
    rows: Sequence[PassageRow | None] | None = None,
    corners_before: int = 0,
) -> RoutineStrip:
    """The strip of `routine` for people who were taught the figures named in `taught` (None: all of it).

    `rows`: its passages, None for a corner, where they were read already with figure and holds.
    `corners_before`: corners of the room it has behind it when it begins. Two queries, or one with `rows`,
    where `routine.level.dance` was fetched with it.
    """
    rows = read_rows(routine) if rows is None else rows
    items = tuple(CORNER if row is None else problems.passage_of(row) for row in rows)
    figures = tuple((row.figure_id, str(row) if row.label else "") for row in rows if row is not None)
    if taught is None:
        taught = frozenset(item.figure for item in items if isinstance(item, Passage))
    report = problems.routine_report(routine, taught=taught, items=items)
    blocks, last_corners = _blocks(items, figures, report, taught)
    dance = routine.level.dance
    start, end = ends_of(items, dance)
    return RoutineStrip(
        routine=routine,
        blocks=blocks,
        beats=report.beats,
        bars=report.bars,
        phrases=report.phrases,
        start=start,
        end=end,
        remarks=tuple(finding.sentence for finding in report.findings if finding.place is None),
        untaught=tuple(dict.fromkeys(block.name for block in blocks if not block.is_taught)),
        danceable=sum(block.is_danceable for block in blocks),
        last_corners=last_corners,
        wide=_draw(WIDE, blocks, dance, corners_before, last_corners),
        narrow=_draw(NARROW, blocks, dance, corners_before, last_corners),
    )


def _draw(
    bars: int,
    blocks: tuple[StripBlock, ...],
    dance: Dance,
    corners_before: int,
    last_corners: tuple[int, ...],
) -> Picture:
    return draw(blocks, dance, bars_a_line=bars, corners_before=corners_before, last_corners=last_corners)


def read_rows(routine: Routine) -> list[PassageRow | None]:
    """Its passages in order, None for a corner, with figure, level and holds. One query."""
    parts = ("passage__figure__level", "passage__entry_hold", "passage__exit_hold")
    return [item.passage for item in routine.items.select_related(*parts).order_by("position")]


def _blocks(
    items: tuple[RoutineItem, ...],
    figures: tuple[tuple[int, str], ...],
    report: RoutineReport,
    taught: frozenset[str],
) -> tuple[tuple[StripBlock, ...], tuple[int, ...]]:
    """The figures, and the corners behind the last of them."""
    blocks: list[StripBlock] = []
    start = Fraction(0)
    corners: tuple[int, ...] = ()
    for place, item in enumerate(items):
        if not isinstance(item, Passage):
            corners = (*corners, place + 1)
            continue
        number = len(blocks)
        figure, way = figures[number]
        block = StripBlock(
            number=number + 1,
            place=place + 1,
            name=item.figure,
            figure=figure,
            way=way,
            start=start,
            beats=Fraction(item.beats),
            is_taught=item.figure in taught,
            join=StripJoin.of(report.joins[number - 1]) if number else None,
            corners=corners,
            is_danceable=place < report.danceable,
        )
        blocks.append(block)
        start += block.beats
        corners = ()
    return tuple(blocks), corners


def ends_of(items: tuple[RoutineItem, ...], dance: Dance) -> tuple[str, str]:
    """Where a row starts and where it ends, in words; empty for one without figures."""
    danced = [item for item in items if isinstance(item, Passage)]
    if not danced:
        return "", ""
    slot = dance.floor_use == FloorUse.SLOT
    start = stance_words(danced[0].entry, slot=slot)
    return start, stance_words(stances_along(items)[-1], slot=slot, is_exit=True)
