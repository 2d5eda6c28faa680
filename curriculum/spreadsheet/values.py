"""The values the comparison works on: what stands, what a row asks for, and what would change."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

from curriculum.rules.naming import name_key

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
    """A file's rows without the empty ones. `name`: the file's; `remarks`: what the reader of the preview
    should know."""

    rows: tuple[SheetRow, ...]
    remarks: tuple[str, ...] = ()
    name: str = ""


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
    """A mistake at its cell. `sentence` begins small and has no full stop; `str` gives the whole.

    `missing_hold`: the name of a hold that the dance does not have, where that is the mistake.
    """

    row: int
    column: str
    sentence: str
    missing_hold: str = ""

    def __str__(self) -> str:
        return f"row {self.row}, {self.column}: {self.sentence}"


@dataclass(frozen=True, slots=True)
class Mistake:
    """The same mistake of one row or of several, said once. `column`: where, both where it stands in two."""

    rows: tuple[int, ...]
    column: str
    sentence: str


@dataclass(frozen=True, slots=True)
class NearName:
    """A new figure called nearly like one that stands: most likely a slip of the pen. `stands`: its name."""

    row: int
    name: str
    stands: str


@dataclass(frozen=True, slots=True)
class Changes:
    """What the file would do. With one error nothing is done.

    `absent`: names of figures of the dance that the file does not speak of; they stay as they are. `near`:
    new figures that are probably none.
    """

    new: tuple[WantedFigure, ...] = ()
    changed: tuple[ChangedFigure, ...] = ()
    unchanged: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    new_levels: tuple[str, ...] = ()
    errors: tuple[CellError, ...] = ()
    remarks: tuple[str, ...] = ()
    near: tuple[NearName, ...] = ()

    @property
    def mistakes(self) -> tuple[Mistake, ...]:
        """The errors, those of one sentence together, in the order of their first rows."""
        together: dict[tuple[str, str], list[CellError]] = {}
        for error in self.errors:
            # A missing hold is one mistake, whether a figure begins or ends in it.
            column = "" if error.missing_hold else error.column
            together.setdefault((column, error.sentence), []).append(error)
        return tuple(
            Mistake(
                tuple(dict.fromkeys(error.row for error in errors)),
                " and ".join(dict.fromkeys(error.column for error in errors)),
                sentence,
            )
            for (_, sentence), errors in together.items()
        )

    @property
    def missing_holds(self) -> tuple[str, ...]:
        """Names of holds the file uses and the dance does not have, each once."""
        names: dict[str, str] = {}
        for error in self.errors:
            names.setdefault(name_key(error.missing_hold), error.missing_hold)
        return tuple(filter(None, names.values()))

    @property
    def in_words(self) -> str:
        """What would be written, e.g. "27 new figures and 3 changes"."""
        counted = ((len(self.new), "new figure"), (len(self.changed), "change"))
        said = (f"{number} {noun}{'' if number == 1 else 's'}" for number, noun in counted if number)
        return " and ".join(said)

    @property
    def nothing(self) -> bool:
        """Whether nothing would change."""
        return not (self.new or self.changed or self.errors)

    def fingerprint(self) -> str:
        """The same for the same changes, whenever and wherever they are worked out."""
        return hashlib.sha256(repr(self).encode()).hexdigest()
