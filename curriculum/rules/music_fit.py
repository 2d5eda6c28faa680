"""How a routine lies in a piece of music: how often it goes in, and where its phrases fall.

Arithmetic of beats and seconds only; that the music keeps its tempo is taken as given.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

MOST_PHRASES: Final = 400
"""Phrases worth naming: half an hour of quick music has fewer."""


@dataclass(frozen=True, slots=True)
class Fit:
    """times: whole rounds of the routine; left: seconds of music over after them. round_seconds: one round.
    begins: seconds until the first step. phrases: seconds at which each phrase of those rounds begins, the
    unfinished one at the end of a round counted as one."""

    times: int
    left: Fraction
    round_seconds: Fraction
    begins: Fraction
    phrases: tuple[Fraction, ...]


def read_length(text: str) -> int:
    """Seconds of "3:05", or of "185". ValueError with a sentence."""
    minutes, colon, rest = text.strip().partition(":")
    if not colon:
        minutes, rest = "0", minutes
    if not (minutes.isdecimal() and rest.isdecimal()) or (colon and int(rest) > 59):
        raise ValueError("Write a length as minutes and seconds, like 2:45.")
    return int(minutes) * 60 + int(rest)


def say_length(seconds: int | Fraction) -> str:
    """ "3:05", to the nearest second."""
    whole = int(seconds + Fraction(1, 2))
    return f"{whole // 60}:{whole % 60:02}"


def fit_into(
    beats: Fraction,
    *,
    phrase_beats: int,
    beats_per_minute: Fraction,
    seconds: int,
    intro_beats: int = 0,
    most: int | None = None,
) -> Fit:
    """A routine of `beats` in music of `seconds`, danced at most `most` times.

    ValueError for a routine without length or no tempo.
    """
    if beats <= 0 or beats_per_minute <= 0 or phrase_beats <= 0:
        raise ValueError("A routine, a phrase and a tempo are more than nothing.")
    beat = Fraction(60) / beats_per_minute
    begins, one = intro_beats * beat, beats * beat
    times = max(int((seconds - begins) // one), 0)
    times = times if most is None else min(times, most)
    starts = [Fraction(start) for start in range(0, -(-beats // 1), phrase_beats)]
    phrases = tuple(begins + (rounds * beats + start) * beat for rounds in range(times) for start in starts)[
        :MOST_PHRASES
    ]
    left = max(seconds - begins - times * one, Fraction(0))
    return Fit(times, left, one, begins, phrases)
