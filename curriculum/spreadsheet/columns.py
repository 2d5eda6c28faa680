"""The columns of a syllabus spreadsheet, in the order they are written."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from school.plain_letters import likeness, plain_letters

LEVEL: Final = "level"
FIGURE: Final = "figure"
OTHER_NAMES: Final = "other names"
BEATS: Final = "beats"
MINUTES: Final = "minutes to introduce"
REVIEW: Final = "minutes to review"
HOLD_AT_START: Final = "hold at start"
HOLD_AT_END: Final = "hold at end"
NEEDS: Final = "needs"
NOTES: Final = "notes"

COLUMNS: Final = (
    LEVEL,
    FIGURE,
    OTHER_NAMES,
    BEATS,
    MINUTES,
    REVIEW,
    HOLD_AT_START,
    HOLD_AT_END,
    NEEDS,
    NOTES,
)


@dataclass(frozen=True, slots=True)
class Header:
    """Where each column stands in a file. `strange`: columns that are none of ours; `twice`: named twice;
    `width`: how many cells the row of names has."""

    places: dict[str, int]
    missing: tuple[str, ...]
    strange: tuple[str, ...]
    twice: tuple[str, ...]
    width: int


def header_key(text: str) -> str:
    """What two spellings of a column's name share: case, spaces, underscores and dashes do not matter."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(plain.replace("_", " ").replace("-", " ").split())


def meant_by(strange: str, among: Sequence[str]) -> str | None:
    """Which of these columns a name that is none of ours was likely meant for; None where none is near."""
    asked = plain_letters(header_key(strange))
    near = [(likeness(asked, column), column) for column in among]
    best = max(near, default=(0.0, ""))
    return best[1] if best[0] else None


def read_header(cells: Sequence[str]) -> Header:
    """Recognise the columns in a file's first row, in whatever order they stand."""
    places: dict[str, int] = {}
    strange: list[str] = []
    twice: list[str] = []
    width = 0
    for place, text in enumerate(cells):
        key = header_key(text)
        if not key:
            continue
        width = place + 1
        if key not in COLUMNS:
            strange.append(text.strip())
        elif key in places:
            twice.append(key)
        else:
            places[key] = place
    missing = tuple(column for column in COLUMNS if column not in places)
    return Header(places, missing, tuple(strange), tuple(twice), width)
