"""What is kept about somebody, each row as a sentence: `lessons.people.kept_about` for a person to read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any, Final

from django.utils import formats, timezone

Row = Mapping[str, Any]


def kept_in_words(kept: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    """Each heading that has rows, with a sentence a row. No query."""
    return [
        (heading, [SENTENCES[heading](row) for row in kept[heading]])
        for heading in SENTENCES
        if kept[heading]
    ]


def _day(value: dt.date | None) -> str:
    """4 March 2026; of a moment its day in the school's zone."""
    if isinstance(value, dt.datetime):
        value = timezone.localtime(value).date()
    return formats.date_format(value, "j F Y") if value else ""


def _sentence(*parts: str) -> str:
    """The parts that say something, with commas."""
    said = ", ".join(part for part in parts if part)
    return f"{said[:1].upper()}{said[1:]}."


def _on(row: Row, word: str, field: str) -> str:
    """ "made on 4 March 2026", or nothing where that has not happened."""
    return f"{word} {_day(row[field])}" if row[field] else ""


def _invitation(row: Row) -> str:
    return _sentence(
        _on(row, "made on", "made at"),
        _on(row, "used on", "used at"),
        _on(row, "withdrawn on", "withdrawn at"),
    )


def _photographs(row: Row) -> str:
    whose = "your guardian’s word" if row["by guardian"] else "your word"
    return _sentence(
        "they may be taken" if row["agrees"] else "none, please", whose, _on(row, "of", "said on")
    )


def _course(row: Row) -> str:
    return _sentence(
        row["course"],
        "" if row["dances both"] else f"as {row['role']}",
        f"both roles, {row['role']} first" if row["dances both"] else "",
        "on the waiting list" if row["waiting"] else "",
        _on(row, "from", "joined"),
        _on(row, "to", "left"),
    )


def _lesson(row: Row) -> str:
    return _sentence(
        _day(row["on"]), row["course"], f"as {row['role']}" if row.get("role") else "", row.get("state", "")
    )


def _private(row: Row) -> str:
    homework = f" Homework: {row['homework']}" if row["homework"] else ""
    when = f"{row['start']}, {row['minutes']} minutes"
    return _sentence(_day(row["date"]), when, f"as {row['role']}", f"with {row['given by']}") + homework


def _worked_on(row: Row) -> str:
    note = f" {row['note']}" if row["note"] else ""
    return _sentence(_day(row["on"]), row["figure"], row["outcome"], row["went"]) + note


def _signed_off(row: Row) -> str:
    by = f"by {row['by whom']}" if row["by whom"] else ""
    return _sentence(row["figure"] or row["habit said"], f"as {row['role']}", _on(row, "on", "day"), by)


def _mark(row: Row) -> str:
    return _sentence(
        row["figure"], f"as {row['role']}", f"“{row['mark']}”", _on(row, "marked on", "marked at")
    )


def _note(row: Row) -> str:
    return f"{_sentence(row['figure'], _on(row, 'written on', 'written at'))} “{row['text']}”"


def _named(*fields: str) -> Callable[[Row], str]:
    return lambda row: _sentence(*(row[field] or "" for field in fields))


def _in_role(*fields: str) -> Callable[[Row], str]:
    return lambda row: _sentence(*(row[field] for field in fields), f"as {row['role']}")


SENTENCES: Final[dict[str, Callable[[Row], str]]] = {
    "invitations": _invitation,
    "photographs and video": _photographs,
    "courses": _course,
    "lessons attended": _lesson,
    "catch-up lessons": _lesson,
    "may be called as a helper": _named("role"),
    "called as a helper": _lesson,
    "private lessons": _private,
    "worked on in private lessons": _worked_on,
    "calendar address": lambda row: _sentence(_on(row, "made on", "made at")),
    "levels": _in_role("dance", "level"),
    "signed off": _signed_off,
    "learnt elsewhere": _in_role("figure"),
    "own marks": _mark,
    "own notes": _note,
    "teaches": _named("course"),
    "lessons in front of": _lesson,
    "away": lambda row: _sentence(_on(row, "from", "first day"), _on(row, "to", "last day")),
    "does not teach": _named("dance", "level", "figure"),
}
"""Heading of `lessons.people.about.ABOUT` -> a row of it, as `kept_about` gives it, in a sentence."""
