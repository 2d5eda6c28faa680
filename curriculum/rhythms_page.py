"""What the page of a dance's rhythms shows: the tempo range, and each rhythm on its ruler."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from curriculum.models import Dance, Rhythm
from curriculum.rhythm_picture import RhythmPicture, rhythm_picture
from curriculum.rules import tempo
from curriculum.rules.rhythm import beats_of, unusual
from curriculum.rules.wording import amount

SHOWN_BARS = 32
"""How many bars the tempo is shown by: four phrases, a common length of a dance's part."""


@dataclass(frozen=True)
class RhythmRow:
    rhythm: Rhythm
    picture: RhythmPicture
    length: str
    unusual: tuple[str, ...]


@dataclass(frozen=True)
class TempoRange:
    """`seconds`: what SHOWN_BARS last, the quickest first; `beats`: a minute, the slowest first."""

    bars: int
    seconds: tuple[Fraction, Fraction]
    beats: tuple[Fraction, Fraction]


def rhythm_rows(dance: Dance) -> tuple[RhythmRow, ...]:
    """Every rhythm of the dance by name. Two queries."""
    return tuple(_row(rhythm, dance) for rhythm in dance.rhythms.prefetch_related("counts").order_by("name"))


def tempo_range(dance: Dance) -> TempoRange | None:
    """The range in beats and in seconds; None where the dance has none."""
    slowest, quickest = dance.slowest_bars_per_minute, dance.quickest_bars_per_minute
    if not slowest or not quickest:
        return None
    slow, quick = Fraction(slowest), Fraction(quickest)
    return TempoRange(
        SHOWN_BARS,
        (tempo.seconds_of(SHOWN_BARS, quick), tempo.seconds_of(SHOWN_BARS, slow)),
        (
            tempo.beats_per_minute(slow, dance.beats_per_bar),
            tempo.beats_per_minute(quick, dance.beats_per_bar),
        ),
    )


def unusual_of(rhythm: Rhythm, dance: Dance) -> tuple[str, ...]:
    """What is unusual about it, in sentences. Reads `rhythm.counts`."""
    unit = [(row.count, row.ticks) for row in rhythm.counts.all()]
    return unusual(unit, begins_on_beat=rhythm.begins_on_beat, beats_per_bar=dance.beats_per_bar)


def _row(rhythm: Rhythm, dance: Dance) -> RhythmRow:
    beats = beats_of([(row.count, row.ticks) for row in rhythm.counts.all()])
    bars = amount(beats / dance.beats_per_bar, "bar")
    return RhythmRow(
        rhythm=rhythm,
        picture=rhythm_picture(rhythm, beats_per_bar=dance.beats_per_bar),
        length=f"{amount(beats, 'beat')}, {bars}",
        unusual=unusual_of(rhythm, dance),
    )
