"""Tempi of an evening's music: slower first, as a share of the dance's range, and the count-in before it.

Common practice, no source, for which share goes with which part of a lesson.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from curriculum.rules.tempo import beats_per_minute

SLOW_AND_TEMPO: dict[str, tuple[int, ...]] = {
    "review": (75, 90),
    "carry": (75, 100),
    "new": (60, 100),
    "routine": (90, 100),
    "practice": (90, 100),
}
"""Kind of segment -> per cent of the dance's tempo range, slower first; what stands not here has no music."""


@dataclass(frozen=True, slots=True)
class TempoRange:
    """Bars a minute, slowest and quickest, of a dance with so many beats to the bar. begins_on: the beat of
    the bar on which its first count falls, from 1."""

    slowest: Fraction
    quickest: Fraction
    beats_per_bar: int
    begins_on: int = 1

    def __post_init__(self) -> None:
        if not 0 < self.slowest <= self.quickest:
            raise ValueError("A tempo range goes from something slower to something quicker.")
        if not 1 <= self.begins_on <= self.beats_per_bar:
            raise ValueError(f"A bar of {self.beats_per_bar} beats has no beat {self.begins_on}.")


@dataclass(frozen=True, slots=True)
class Tempo:
    """per_cent of the dance's range: bars and beats a minute, rounded to whole ones, from and to."""

    per_cent: int
    bars: tuple[int, int]
    beats: tuple[int, int]

    @property
    def said(self) -> str:
        """ "17 to 18 bars a minute (50 to 54 beats)"."""
        return f"{_from_to(self.bars)} bars a minute ({_from_to(self.beats)} beats)"

    @property
    def said_again(self) -> str:
        """ "28 to 30 (84 to 90)", where another was said before it."""
        return f"{_from_to(self.bars)} ({_from_to(self.beats)})"


def tempo_at(dance: TempoRange, per_cent: int) -> Tempo:
    bars = [Fraction(per_cent, 100) * bound for bound in (dance.slowest, dance.quickest)]
    beats = [beats_per_minute(bound, dance.beats_per_bar) for bound in bars]
    return Tempo(per_cent, (_whole(bars[0]), _whole(bars[1])), (_whole(beats[0]), _whole(beats[1])))


def tempi_of(kind: str, dance: TempoRange) -> tuple[Tempo, ...]:
    """Of a kind of segment, slower first; nothing where it has no music."""
    return tuple(tempo_at(dance, per_cent) for per_cent in SLOW_AND_TEMPO.get(kind, ()))


def count_in(dance: TempoRange) -> str:
    """What is said before the first step: two bars, and as much of a third as comes before the first count.

    "1 2 3, 1 2 3" for waltz; "1 2 3 4, 1 2 3 4, 1" where the dance begins on the second beat.
    """
    bar = " ".join(str(beat) for beat in range(1, dance.beats_per_bar + 1))
    before = " ".join(str(beat) for beat in range(1, dance.begins_on))
    return ", ".join(filter(None, (bar, bar, before)))


def music_said(kind: str, dance: TempoRange) -> str:
    """One sentence for a segment, or nothing."""
    tempi = tempi_of(kind, dance)
    if not tempi:
        return ""
    then = [tempi[0].said, *(tempo.said_again for tempo in tempi[1:])]
    return f"{', then '.join(then)}. Count in {count_in(dance)}."


def _whole(number: Fraction) -> int:
    """Halves up, as people round."""
    return int(number + Fraction(1, 2))


def _from_to(bounds: tuple[int, int]) -> str:
    return str(bounds[0]) if bounds[0] == bounds[1] else f"{bounds[0]} to {bounds[1]}"
