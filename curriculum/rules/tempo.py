"""Tempo: bars a minute, beats a minute, and how long music lasts."""

from fractions import Fraction
from numbers import Rational


def seconds_of(bars: int | Rational, bars_per_minute: int | Rational) -> Fraction:
    """How many seconds so many bars last. Exact."""
    return Fraction(bars) * 60 / Fraction(bars_per_minute)


def beats_per_minute(bars_per_minute: int | Rational, beats_per_bar: int) -> Fraction:
    """The tempo as musicians and metronomes say it. Exact."""
    return Fraction(bars_per_minute) * beats_per_bar
