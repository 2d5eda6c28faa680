"""What stands in a cell: plain text, lists of names, beats, minutes; and how a cell is made harmless.

A spreadsheet program runs a cell that begins with = + - @, a tab or a carriage return as a formula. Such a
cell is written with an apostrophe before it, and the reader takes that one apostrophe away again, so that
what was written comes back unchanged, apostrophes of its own included.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from difflib import SequenceMatcher
from fractions import Fraction
from typing import Final

from rapidfuzz.distance import OSA

TICKS_PER_BEAT: Final = 12
MOST_BEATS: Final = 400
MOST_MINUTES: Final = 600
SEPARATOR: Final = ";"

_RUNS_AS_FORMULA: Final = re.compile(r"'*[=+\-@\t\r＝＋－＠]")
_MADE_HARMLESS: Final = re.compile(r"'+[=+\-@\t\r＝＋－＠]")
_MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_DATE: Final = re.compile(rf"\d{{1,2}} (?:{'|'.join(_MONTHS)}) \d{{4}}")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_BEATS: Final = re.compile(r"(?:(\d{1,9})(?:[.,](\d{1,6}))?|(?:(\d{1,9}) +)?(\d{1,4})/(\d{1,3}))")
# Below this two words have too little in common to be taken for each other.
_ALIKE: Final = 0.62
_SHARES_ITS_WORDS: Final = 0.9
# How near a word is to be the same word mistyped: one slip in four letters is, “left” and “right” are not.
_SAME_WORD: Final = 0.74


def harmless(text: str) -> str:
    """The text as it may stand in a file."""
    return f"'{text}" if _RUNS_AS_FORMULA.match(text) else text


def unharmed(text: str) -> str:
    """The text as it was before `harmless`."""
    return text[1:] if _MADE_HARMLESS.match(text) else text


def tidy(text: str) -> str:
    """Running text: one kind of line end, no control characters, nothing around it."""
    return _CONTROL.sub("", text.replace("\r\n", "\n").replace("\r", "\n")).strip()


def tidy_name(text: str) -> str:
    """A name: on one line, single spaces."""
    return " ".join(_CONTROL.sub("", text).split())


def split_names(text: str) -> tuple[str, ...]:
    """The names of a cell, between semicolons; empty ones are left out."""
    names = (tidy_name(unharmed(part.strip())) for part in text.split(SEPARATOR))
    return tuple(name for name in names if name)


def join_names(names: Iterable[str]) -> str:
    """The cell of several names, each harmless by itself: some programs split a cell at the semicolon."""
    return "; ".join(harmless(name) for name in names)


def read_ticks(text: str) -> int | None:
    """Beats in ticks, 12 to the beat: 6, 4.5, 4,5, 1/3, 4 1/2. None if empty; ValueError with a sentence."""
    text = tidy_name(unharmed(text))
    if not text:
        return None
    found = _BEATS.fullmatch(text)
    if found is None:
        raise ValueError(
            f"“{text}” is not a number of beats; write it like 6, 4.5 or 1 1/3{_of_a_date(text)}"
        )
    whole, decimals, before, top, below = found.groups()
    if top is None:
        beats = Fraction(f"{whole}.{decimals or 0}")
    elif int(below) == 0:
        raise ValueError(f"“{text}” is not a number of beats; write it like 6, 4.5 or 1 1/3")
    else:
        beats = int(before or 0) + Fraction(int(top), int(below))
    ticks = beats * TICKS_PER_BEAT
    if ticks.denominator != 1:
        raise ValueError(f"{text} beats cannot be counted in twelfths of a beat; a third is written 1/3")
    if not 1 <= ticks <= MOST_BEATS * TICKS_PER_BEAT:
        raise ValueError(f"{text} beats is not a length; it lies between 1/12 and {MOST_BEATS}")
    return int(ticks)


def say_ticks(ticks: int | None) -> str:
    """Beats as they are written: a decimal number where that is exact and short, else a fraction."""
    if ticks is None:
        return ""
    beats = Fraction(ticks, TICKS_PER_BEAT)
    if beats.denominator == 1:
        return str(beats)
    if beats.denominator in (2, 4):
        return str(float(beats))
    whole, rest = divmod(beats, 1)
    return f"{whole} {rest}" if whole else str(rest)


def say_date(day: dt.date) -> str:
    """A date cell as text, e.g. "15 March 2026", which `read_minutes` and `read_ticks` know again."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def _of_a_date(text: str) -> str:
    """What to say of a number that has become a date."""
    if not _DATE.fullmatch(text):
        return ""
    return "; the spreadsheet program has made a date of it, so format the cell as text and write it again"


def read_minutes(text: str, *, least: int) -> int:
    """Whole minutes. An empty cell is 0 where nought will do. ValueError with a sentence."""
    text = tidy_name(unharmed(text))
    if not text and least == 0:
        return 0
    range_of = f"a whole number from {least} to {MOST_MINUTES}"
    if not text:
        raise ValueError(f"the minutes are missing; write {range_of}")
    if re.fullmatch(r"\d{1,4}(?:[.,]0+)?", text):
        minutes = int(re.split(r"[.,]", text)[0])
        if least <= minutes <= MOST_MINUTES:
            return minutes
    raise ValueError(f"the minutes are {range_of}, not “{text}”{_of_a_date(text)}")


def did_you_mean(text: str, names: Iterable[str]) -> str | None:
    """The name somebody most likely meant: alike letter by letter, or one whose words are all there.

    “open fan” means “fan” rather than “open basic”: a name that stands whole in what was typed, or the
    other way round, goes before one that merely shares letters.
    """
    asked = text.casefold()
    words = set(asked.split())
    best: tuple[float, float, str] | None = None
    for name in names:
        folded = name.casefold()
        letters = SequenceMatcher(None, asked, folded).ratio()
        others = set(folded.split())
        shares = bool(words) and bool(others) and (words <= others or others <= words)
        score = max(letters, _SHARES_ITS_WORDS) if shares else letters
        if score >= _ALIKE and (best is None or (score, letters) > best[:2]):
            best = (score, letters, name)
    return best[2] if best else None


def nearly_called(text: str, names: Iterable[str]) -> str | None:
    """The name that `text` is a slip of the pen away from: as many words, each the same or nearly so.

    Far stricter than `did_you_mean`: two figures are often alike in all but a word that matters (“left side
    pass”, “right side pass”).
    """
    words = _words(text)
    best: tuple[float, str] | None = None
    for name in names:
        others = _words(name)
        if len(others) != len(words):
            continue
        near = [OSA.normalized_similarity(*pair) for pair in zip(words, others, strict=True)]
        if min(near, default=0) >= _SAME_WORD and (best is None or sum(near) > best[0]):
            best = (sum(near), name)
    return best[1] if best else None


def _words(text: str) -> list[str]:
    return text.casefold().replace("-", " ").replace("’", "'").split()
