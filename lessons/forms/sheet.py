"""The form of a changed run-sheet: a row a segment, as posted. Without a library form, for a row that is
moved takes with it whatever was typed in it, right or wrong."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, field

from django.http import QueryDict

from lessons.models.sheets import MOST_MINUTES
from lessons.rules.sheet_changes import OWN, Change
from school.sent import whole_number

CLOSE = "close"
MOST_ROWS = 60
MOST_LETTERS = 80
_PRESS = re.compile(r"(up|down|longer|shorter|out|back|drop)-(\d{1,3})")


@dataclass
class Row:
    """A segment in the form. minutes: as typed, "" where they are fitted; music: the chosen piece's key as
    sent, "" for none. wrong: sentences, by field."""

    kind: str
    figure: int | None = None
    title: str = ""
    minutes: str = ""
    left_out: bool = False
    music: str = ""
    wrong: dict[str, str] = field(default_factory=dict)

    @property
    def is_own(self) -> bool:
        return self.kind == OWN

    @property
    def kept(self) -> int | None:
        """The minutes typed; None where there are none, or none that can be."""
        number = whole_number(self.minutes.strip())
        return number if number and number <= MOST_MINUTES else None

    def check(self) -> None:
        if self.minutes.strip() and self.kept is None and not self.left_out:
            self.wrong["minutes"] = (
                f"Write whole minutes, 1 to {MOST_MINUTES}, or leave it empty to have them fitted."
            )
        if self.is_own and not self.title.strip():
            self.wrong["title"] = "Say what it is, or take it out."
        if len(self.title.strip()) > MOST_LETTERS:
            self.wrong["title"] = f"At most {MOST_LETTERS} letters; these are {len(self.title.strip())}."


def rows_from(data: QueryDict) -> list[Row]:
    """The rows as posted."""
    rows = []
    for number in data.getlist("row")[:MOST_ROWS]:
        rows.append(
            Row(
                kind=data.get(f"kind-{number}", OWN),
                figure=whole_number(data.get(f"figure-{number}")),
                title=_plain(data.get(f"title-{number}", "")),
                minutes=data.get(f"minutes-{number}", ""),
                left_out=bool(data.get(f"out-{number}")),
                music=data.get(f"music-{number}", ""),
            )
        )
    return rows


def added_in(data: QueryDict) -> Row | None:
    """The row to be added, if anything stands in its fields or its button was pressed."""
    title, minutes = _plain(data.get("title-more", "")), data.get("minutes-more", "")
    if data.get("press") == "add" or title or minutes.strip():
        return Row(OWN, title=title, minutes=minutes)
    return None


def place_for(rows: list[Row]) -> int:
    """Where an added row goes: before the close, where that stands last."""
    return len(rows) - 1 if rows and rows[-1].kind == CLOSE else len(rows)


@dataclass(frozen=True)
class Pressed:
    """A button of a row, and what it asks for."""

    row: Row
    what: str


def pressed_in(data: QueryDict, rows: list[Row]) -> Pressed | None:
    """Which button of which of the posted rows; None for one that belongs to no row."""
    found = _PRESS.fullmatch(data.get("press", ""))
    if found is None or int(found[2]) >= len(rows):
        return None
    return Pressed(rows[int(found[2])], found[1])


def press(rows: list[Row], at: int, what: str, fitted: int) -> int:
    """Do what the button says to the row. fitted: the minutes it has now. Gives the place to go on from."""
    row = rows[at]
    if what in ("up", "down"):
        to = min(max(at + (1 if what == "down" else -1), 0), len(rows) - 1)
        rows.insert(to, rows.pop(at))
        return to
    if what == "drop":
        rows.pop(at)
        return max(at - 1, 0)
    if what in ("longer", "shorter"):
        now = row.kept or fitted
        row.minutes = str(max(now + (1 if what == "longer" else -1), 1))
    else:
        row.left_out = what == "out"
    return at


def change_of(row: Row, names: dict[int, str], pieces: Collection[int]) -> Change:
    """names: figure (pk) -> name; pieces: keys of those that may be chosen."""
    figure = names.get(row.figure, "") if row.figure is not None else ""
    title = row.title.strip() if row.is_own else ""
    chosen = whole_number(row.music)
    return Change(row.kind, figure, title, row.kept, row.left_out, chosen if chosen in pieces else None)


def row_of(change: Change, keys: dict[str, int]) -> Row:
    """keys: figure's name -> pk."""
    minutes = "" if change.minutes is None else str(change.minutes)
    music = "" if change.music is None else str(change.music)
    return Row(change.kind, keys.get(change.figure), change.title, minutes, change.left_out, music)


def _plain(text: str) -> str:
    return " ".join(text.replace("\0", " ").split())
