"""A rhythm’s unit drawn on the ruler of beats: each count as long as it lasts. Only places and sizes; a unit
is one CSS pixel."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from curriculum.models import Rhythm
from curriculum.models.dances import TICKS_PER_BEAT
from curriculum.spreadsheet.cells import say_ticks

BEAT = 36
SIDE = 12


@dataclass(frozen=True)
class Block:
    """A count. `middle`: where its word stands."""

    x: float
    width: float
    said: str

    @property
    def middle(self) -> float:
        return self.x + self.width / 2


@dataclass(frozen=True)
class Tick:
    """A beat's mark; `label`: which beat of the bar begins there, where one does. `is_bar`: a bar begins."""

    x: float
    is_bar: bool
    label: str


@dataclass(frozen=True)
class RhythmPicture:
    width: float
    end: float
    blocks: tuple[Block, ...]
    ticks: tuple[Tick, ...]
    words: str


def rhythm_picture(rhythm: Rhythm, *, beats_per_bar: int) -> RhythmPicture:
    """Reads `rhythm.counts`: prefetch them."""
    blocks = []
    x = float(SIDE)
    for row in rhythm.counts.all():
        width = row.ticks * BEAT / TICKS_PER_BEAT
        blocks.append(Block(x, width, row.count))
        x += width
    beats = Fraction(sum(row.ticks for row in rhythm.counts.all()), TICKS_PER_BEAT)
    ticks = [_tick(beat, rhythm.begins_on_beat - 1, beats, beats_per_bar) for beat in range(int(beats) + 1)]
    words = ", ".join(f"{row.count} for {say_ticks(row.ticks)}" for row in rhythm.counts.all())
    return RhythmPicture(x + SIDE, x, tuple(blocks), tuple(ticks), words)


def _tick(beat: int, begins: int, beats: Fraction, beats_per_bar: int) -> Tick:
    place = (begins + beat) % beats_per_bar
    return Tick(SIDE + beat * BEAT, place == 0, str(place + 1) if beat < beats else "")
