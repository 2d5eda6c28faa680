"""A rhythm's unit: what is unusual about it. Nothing here is wrong for certain; a teacher should know it."""

from collections.abc import Sequence
from fractions import Fraction

from curriculum.rules.stance import TICKS_PER_BEAT
from curriculum.rules.wording import amount

Unit = Sequence[tuple[str, int]]
"""Counts with their lengths in ticks."""


def beats_of(unit: Unit) -> Fraction:
    """How long the unit lasts, in beats."""
    return Fraction(sum(ticks for _, ticks in unit), TICKS_PER_BEAT)


def unusual(unit: Unit, *, begins_on_beat: int, beats_per_bar: int) -> tuple[str, ...]:
    """Sentences on what is unusual: no whole number of beats; a number said on another beat than its own.

    Numbers may be said on past the bar: in a bar of four, 5 is said on the first beat.
    """
    said = []
    whole = beats_of(unit)
    if whole.denominator != 1:
        said.append(f"It lasts {amount(whole, 'beat')}: whatever follows it starts between two beats.")
    at = Fraction(begins_on_beat - 1)
    for count, ticks in unit:
        if count.isascii() and count.isdecimal() and (at - (int(count) - 1)) % beats_per_bar:
            said.append(f"“{count}” is said {_on_beat(at % beats_per_bar)} of the bar.")
        at += Fraction(ticks, TICKS_PER_BEAT)
    return tuple(said)


def _on_beat(passed: Fraction) -> str:
    beat, part = divmod(passed, 1)
    return f"after beat {beat + 1}" if part else f"on beat {beat + 1}"
