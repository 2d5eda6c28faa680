"""How large a run-sheet is printed, so that it fills one A4 page and never two.

An estimate: letters are counted, not measured. Sizes are in points, lengths in millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lessons.evening.cover_page import CoverChart
from lessons.run_sheet.rows import SheetRow

SIZES = (12, 11, 10, 9)
# Here the music's tempi stay off the paper as well.
SMALLEST = 8
_POINT = 0.3528
# A4 within the margins the page is printed with, less what an estimate may be out by.
_HEIGHT, _WIDTH = 277 - 10, 169
_TITLE, _HEADLINE = 26, 6
_BESIDE_LINE, _NARROW, _WIDE = 3.95, 27, 50
_STEPS_LINE = 4.1
# Of the size of the type: how wide a letter is on average, how high a line.
_LETTER, _LINE = 0.54, 1.28


@dataclass(frozen=True)
class Paper:
    """size: of the run-sheet's text; steps, orders, music: whether the new figures' counts and steps, their
    teaching orders, and the music's tempi go with it."""

    size: int
    steps: bool
    orders: bool = False
    music: bool = False


@dataclass(frozen=True)
class Beside:
    """What stands under the sheet in small type: three short blocks, and a long one next to them."""

    people: Sequence[str]
    room: Sequence[str]
    care: Sequence[str]
    first_aid: str

    @property
    def height(self) -> float:
        short = max(_lines(self.people, _NARROW), _lines(self.room, _NARROW)) + _lines(self.care, 2 * _NARROW)
        short += 2 if self.care else 0
        return 8 + _BESIDE_LINE * (2 + max(short, _lines([self.first_aid], _WIDE)))


def paper_of(
    rows: Sequence[SheetRow],
    *,
    head: str,
    around: Sequence[str],
    beside: Beside,
    steps: Sequence[CoverChart],
    inside: Sequence[str] = (),
) -> Paper:
    """The largest type that fits, with the steps if they fit in a type one still reads at arm's length.

    head: the line on top; around: sentences between it and the sheet; inside: more of them in its segments.
    """
    taken = _TITLE + _lines([head], 75) * _HEADLINE + beside.height
    for size in SIZES if steps else ():
        if taken + _sheet_height(rows, around, inside, size) + _steps_height(steps) <= _HEIGHT:
            return Paper(size, steps=True)
    for size in SIZES:
        if taken + _sheet_height(rows, around, inside, size) <= _HEIGHT:
            return Paper(size, steps=False)
    return Paper(SMALLEST, steps=False)


def _lines(said: Iterable[str], letters: float) -> int:
    return sum(math.ceil(len(sentence) / letters) for sentence in said)


def _sheet_height(rows: Sequence[SheetRow], above: Iterable[str], inside: Iterable[str], size: int) -> float:
    letters = _WIDTH / (size * _POINT * _LETTER)
    said = [*(said for row in rows for said in _said(row)), *inside]
    lines = _lines(said, letters) + 1.35 * len(rows)
    return lines * size * _POINT * _LINE + len(rows) * 1.2 + _lines(above, 75) * 5.4


def _said(row: SheetRow) -> Iterable[str]:
    """The sentences that stand in a segment, with the words before them."""
    yield from row.says
    if row.note:
        yield f"Note left for you {row.note}"
    if row.kind == "practice":
        yield "Change partners: followers move on one. Nobody is asked why they sit out."
    if row.kind == "routine":
        yield "x" * 120
    figure = row.figure
    if figure is None:
        return
    if row.kind != "review":
        yield from (f"Answer {said}" for said in (figure.lead, figure.response) if said)
    for fault in list(figure.faults.all())[:1]:
        yield f"Watch for {fault.fault} → {fault.remedy}"
    for caution in figure.cautions.all():
        yield f"Take care {caution.text}"


def _steps_height(steps: Sequence[CoverChart]) -> float:
    rows = sum(len(chart.rows) + sum(bool(row.hold or row.cues) for row in chart.rows) + 2 for chart in steps)
    return rows * _STEPS_LINE
