"""The values the comparison works on: what stands, what a row asks for, and what would change."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

Way = tuple[str | None, str | None]
"""A way in and out by its holds' names: hold at start, hold at end. None = any."""


class UnreadableFile(ValueError):  # noqa: N818 - it says what the file is, in one sentence
    """The whole file cannot be used. The message is one sentence for the page."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row as it stands in the file. `number`: as the spreadsheet counts, the header being row 1."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file's rows without the empty ones. `remarks`: what the reader of the preview should know."""

    rows: tuple[SheetRow, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StandingFigure:
    """A figure as the dance has it now. Names of needs are main names; ways are distinct, in order."""

    name: str
    level: str
    other_names: tuple[str, ...] = ()
    ticks: int | None = None
    minutes: int = 1
    review_minutes: int = 0
    ways: tuple[Way, ...] = ()
    needs: tuple[str, ...] = ()
    notes: str = ""
    # Ways that routines dance -> the routines' names.
    danced: Mapping[Way, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Standing:
    """A dance as it stands. Levels from the lowest up; holds: name -> key; figures in teaching order."""

    dance: str
    levels: tuple[str, ...]
    holds: Mapping[str, str]
    figures: tuple[StandingFigure, ...]


@dataclass(frozen=True, slots=True)
class WantedFigure:
    """A figure as a row asks for it. `stands`: the main name it has now; None for a new one.

    `after`: the main name (as wanted) of the figure of the row before it on the same level, if any.
    """

    row: int
    name: str
    level: str
    other_names: tuple[str, ...]
    ticks: int | None
    minutes: int
    review_minutes: int
    ways: tuple[Way, ...]
    needs: tuple[str, ...]
    notes: str
    stands: str | None = None
    after: str | None = None


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A cell that differs from what stands, both said as they would be written in a file."""

    column: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class ChangedFigure:
    wanted: WantedFigure
    fields: tuple[FieldChange, ...]


@dataclass(frozen=True, slots=True)
class CellError:
    """A mistake at its cell. `sentence` begins small and has no full stop; `str` gives the whole."""

    row: int
    column: str
    sentence: str

    def __str__(self) -> str:
        return f"row {self.row}, {self.column}: {self.sentence}"


@dataclass(frozen=True, slots=True)
class Changes:
    """What the file would do. With one error nothing is done.

    `absent`: names of figures of the dance that the file does not speak of; they stay as they are.
    """

    new: tuple[WantedFigure, ...] = ()
    changed: tuple[ChangedFigure, ...] = ()
    unchanged: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    new_levels: tuple[str, ...] = ()
    errors: tuple[CellError, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether nothing would change."""
        return not (self.new or self.changed or self.errors)

    def fingerprint(self) -> str:
        """The same for the same changes, whenever and wherever they are worked out."""
        return hashlib.sha256(repr(self).encode()).hexdigest()
