"""A row into the figure it asks for. Each mistake is noted at its cell and the reading goes on, so that one
look shows all of them; a row with a mistake still gives its names, so that it does not cause further ones."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeVar

from curriculum.rules.naming import name_key
from curriculum.spreadsheet import columns
from curriculum.spreadsheet.cells import (
    SEPARATOR,
    did_you_mean,
    read_minutes,
    read_ticks,
    split_names,
    tidy,
    tidy_name,
    unharmed,
)
from curriculum.spreadsheet.values import CellError, SheetRow, Standing, WantedFigure, Way

LONGEST_NAME: Final = 80
LONGEST_LEVEL: Final = 60
LONGEST_NOTES: Final = 20_000
ANY_HOLD: Final = "any"

Value = TypeVar("Value")


def read_row(row: SheetRow, standing: Standing, errors: list[CellError]) -> WantedFigure | None:
    """The figure a row asks for; None where it does not even name one. Mistakes are added to `errors`."""
    return _Row(row, standing, errors).wanted()


class _Row:
    """One row being read."""

    def __init__(self, row: SheetRow, standing: Standing, errors: list[CellError]) -> None:
        self.row = row
        self.standing = standing
        self.errors = errors

    def wanted(self) -> WantedFigure | None:
        name = self._name(columns.FIGURE, LONGEST_NAME)
        level = self._name(columns.LEVEL, LONGEST_LEVEL)
        if SEPARATOR in name:
            self._wrong(
                columns.FIGURE, "a name cannot have a semicolon in it, for semicolons stand between names"
            )
        ticks = self._parsed(columns.BEATS, read_ticks, None)
        minutes = self._parsed(columns.MINUTES, lambda text: read_minutes(text, least=1), 1)
        review = self._parsed(columns.REVIEW, lambda text: read_minutes(text, least=0), 0)
        ways = self._ways()
        if ways and not self._text(columns.BEATS).strip():
            self._wrong(
                columns.BEATS, "the beats are missing; only a technique has none, and it has no holds either"
            )
        notes = tidy(unharmed(self._text(columns.NOTES)))
        if len(notes) > LONGEST_NOTES:
            self._wrong(columns.NOTES, f"the notes are longer than {LONGEST_NOTES} letters")
        if not name:
            return None
        return WantedFigure(
            row=self.row.number,
            name=name,
            level=level,
            other_names=self._other_names(name),
            ticks=ticks,
            minutes=minutes,
            review_minutes=review,
            ways=ways,
            needs=tuple(dict.fromkeys(split_names(self._text(columns.NEEDS)))),
            notes=notes,
        )

    def _text(self, column: str) -> str:
        return self.row.cells.get(column, "")

    def _wrong(self, column: str, sentence: str, missing_hold: str = "") -> None:
        self.errors.append(CellError(self.row.number, column, sentence, missing_hold))

    def _parsed(self, column: str, parse: Callable[[str], Value], otherwise: Value) -> Value:
        try:
            return parse(self._text(column))
        except ValueError as error:
            self._wrong(column, str(error))
            return otherwise

    def _name(self, column: str, longest: int) -> str:
        name = tidy_name(unharmed(self._text(column).strip()))
        if not name or not name_key(name):
            self._wrong(column, f"the {column} is missing")
        elif len(name) > longest:
            self._wrong(column, f"the name has {len(name)} letters; {longest} are allowed")
        return name

    def _other_names(self, main: str) -> tuple[str, ...]:
        """Each name once, the main one left out."""
        names: dict[str, str] = {}
        allowed = f"letters; {LONGEST_NAME} are allowed"
        for name in split_names(self._text(columns.OTHER_NAMES)):
            if len(name) > LONGEST_NAME:
                self._wrong(columns.OTHER_NAMES, f"“{name[:20]}…” has {len(name)} {allowed}")
            elif name_key(name) != name_key(main):
                names.setdefault(name_key(name), name)
        return tuple(names.values())

    def _ways(self) -> tuple[Way, ...]:
        """The ways in and out: holds at the start and at the end pair up; a single one goes with all."""
        starts = self._holds(columns.HOLD_AT_START)
        ends = self._holds(columns.HOLD_AT_END)
        if not starts and not ends:
            return ()
        for column, holds in ((columns.HOLD_AT_START, starts), (columns.HOLD_AT_END, ends)):
            if not holds:
                self._wrong(column, "the hold is missing; write “any” where it may be any")
                return ()
        if len(starts) != len(ends) and 1 not in (len(starts), len(ends)):
            self._wrong(
                columns.HOLD_AT_END,
                f"{len(ends)} holds here but {len(starts)} at the start; name one for each way in and out",
            )
            return ()
        many = max(len(starts), len(ends))
        starts = starts * many if len(starts) == 1 else starts
        ends = ends * many if len(ends) == 1 else ends
        return tuple(dict.fromkeys(zip(starts, ends, strict=True)))

    def _holds(self, column: str) -> tuple[str | None, ...]:
        return tuple(self._hold(column, name) for name in split_names(self._text(column)))

    def _hold(self, column: str, name: str) -> str | None:
        wanted = name_key(name)
        if wanted == ANY_HOLD:
            return None
        for hold, key in self.standing.holds.items():
            if wanted in (name_key(hold), name_key(key)):
                return hold
        meant = did_you_mean(name, self.standing.holds)
        hint = f"; did you mean “{meant}”?" if meant else ""
        self._wrong(column, f"there is no hold “{name}” in {self.standing.dance}{hint}", name)
        return name
