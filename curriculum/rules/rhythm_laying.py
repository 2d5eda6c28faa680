"""The rhythm of a whole figure, put together from the dance's units: 1 2, 3 & 4, 5 & 6.

Common practice, no source: units follow each other without a gap, in any order; where a unit begins on 1
inside a longer figure, its numbers may be said on (5 6 for a second 1 2).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from curriculum.rules.chart_rows import Rhythm
from curriculum.rules.stance import TICKS_PER_BEAT
from curriculum.rules.steps import Step

Unit = tuple[tuple[str, int], ...]
"""Counts with their lengths in ticks."""

_OTHER_COUNT, _OTHER_LENGTH, _TOO_MANY_OR_FEW = 2, 1, 2


@dataclass(frozen=True, slots=True)
class _Laid:
    """Units laid over the first rows of a chart. price: how unlike the rows they are, 0 = the same."""

    price: int
    counts: Unit = ()


def lay_rhythm(units: Sequence[Unit], steps: Sequence[Step]) -> Rhythm | None:
    """The units laid end to end so that they are as like the chart's counts as can be.

    None where the dance has no units, the chart has no rows, or no laying has most of the chart's counts:
    then nothing is known about its rhythm. Of equally like ones, the one whose units stand first.
    """
    if not units or not steps:
        return None
    rows = [(step.count, step.ticks) for step in steps]
    exact = _exactly(units, rows)
    return exact if exact is not None else _nearly(units, rows)


def _exactly(units: Sequence[Unit], rows: Sequence[tuple[str, int]]) -> Unit | None:
    """The units that are the rows, count by count; the usual case, and quickly found."""
    reached: list[Unit | None] = [(), *([None] * len(rows))]
    for start in range(len(rows)):
        laid = reached[start]
        if laid is None:
            continue
        for unit in _units_from(units, laid, rows[start][0]):
            end = start + len(unit)
            if end <= len(rows) and tuple(rows[start:end]) == unit and reached[end] is None:
                reached[end] = laid + unit
    return reached[-1]


def _nearly(units: Sequence[Unit], rows: Sequence[tuple[str, int]]) -> Unit | None:
    """The units most like the rows; each may lack up to two of its counts, or have one more."""
    best: list[_Laid | None] = [_Laid(0)] + [None] * len(rows)
    for start in range(len(rows)):
        laid = best[start]
        if laid is None:
            continue
        for unit in _units_from(units, laid.counts, rows[start][0]):
            for end in _ends(start, len(unit), len(rows)):
                price = laid.price + _price(unit, rows[start:end])
                reached = best[end]
                if reached is None or price < reached.price:
                    best[end] = _Laid(price, laid.counts + unit)
    whole = best[-1]
    return whole.counts if whole is not None and whole.price <= len(rows) else None


def _ends(start: int, length: int, rows: int) -> range:
    return range(start + max(1, length - 2), min(rows, start + length + 1) + 1)


def _units_from(units: Sequence[Unit], before: Unit, said: str) -> Iterator[Unit]:
    """Each unit as it stands, and said on: from the number after `before`, or at the start from `said`."""
    yield from units
    if before:
        beats = Fraction(sum(ticks for _, ticks in before), TICKS_PER_BEAT)
        first = before[0][0]
        goes_on = int(first) + int(beats) if first.isdecimal() and beats.denominator == 1 else None
    else:
        goes_on = int(said) if said.isdecimal() else None
    if goes_on is not None:
        for unit in units:
            yield from _said_on(unit, goes_on)


def _said_on(unit: Unit, number: int) -> Iterator[Unit]:
    """The unit with its numbers raised so that it begins with `number`."""
    first = unit[0][0]
    if first.isdecimal() and int(first) < number:
        further = number - int(first)
        yield tuple(
            (str(int(count) + further) if count.isdecimal() else count, ticks) for count, ticks in unit
        )


def _price(unit: Unit, rows: Sequence[tuple[str, int]]) -> int:
    """How unlike: the dearness of turning the one into the other row by row."""
    above = [place * _TOO_MANY_OR_FEW for place in range(len(unit) + 1)]
    for count, ticks in rows:
        line = [above[0] + _TOO_MANY_OR_FEW]
        for place, (wanted, length) in enumerate(unit):
            unlike = _OTHER_COUNT * (count != wanted) + _OTHER_LENGTH * (ticks != length)
            line.append(
                min(
                    above[place] + unlike, above[place + 1] + _TOO_MANY_OR_FEW, line[place] + _TOO_MANY_OR_FEW
                )
            )
        above = line
    return above[-1]
