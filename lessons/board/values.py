"""What the register shows, as plain values: a template has nothing left to work out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lessons.models import LessonSession, PlanFigure
from lessons.planners.term_values import Finding
from lessons.rules.importance import importance_word

# Of the register on a wide screen, in the stylesheet's rem.
LESSON_WIDTH, TIGHT_WIDTH, GAP_WIDTH, RULER_WIDTH = 4.6, 3.9, 1.7, 64.0
# With narrower columns the names are narrower as well.
TIGHT_RULER_WIDTH = 68.0


@dataclass(frozen=True)
class Gauge:
    """A lesson's minutes: `new` and `again` of `room` (what is there for figures)."""

    new: int
    again: int
    room: int

    @property
    def used(self) -> int:
        return self.new + self.again

    @property
    def left(self) -> int:
        return max(self.room - self.used, 0)

    @property
    def over(self) -> int:
        return max(self.used - self.room, 0)

    @property
    def words(self) -> str:
        """The gauge for those who hear it."""
        rest = f"{self.over} too many" if self.over else f"{self.left} left"
        return f"{self.new} minutes new, {self.again} again, {rest} of {self.room}"


@dataclass(frozen=True)
class Column:
    """A lesson, or a gap (`key` None, or of one that was cancelled) with the reason for it.

    `key`: the lesson's primary key; `lesson`: its row, None where only the key is known;
    `trouble`: what is wrong with the evening as a whole, in two words.
    """

    day: dt.date
    lesson: LessonSession | None = None
    key: int | None = None
    index: int | None = None
    gauge: Gauge | None = None
    is_past: bool = False
    is_tonight: bool = False
    is_recorded: bool = False
    is_moved: bool = False
    reason: str = ""
    trouble: str = ""

    @property
    def is_gap(self) -> bool:
        return self.index is None

    @property
    def number(self) -> int | None:
        """As people count, and as the sentences of the checks do: from 1."""
        return None if self.index is None else self.index + 1

    @property
    def misses_record(self) -> bool:
        return self.is_past and not self.is_recorded and not self.is_gap


@dataclass(frozen=True)
class Week:
    """A week of the ruler. `month` is named where it changes; milestones lie somewhere in the week."""

    number: int
    monday: dt.date
    month: str
    columns: tuple[Column, ...]
    milestones: tuple[str, ...] = ()

    @property
    def is_gap(self) -> bool:
        return all(column.is_gap for column in self.columns)


@dataclass(frozen=True)
class Mark:
    """What a lesson does with a figure. kind: new, carry, again; state: planned, done, begun, missed.

    `minutes`: what the mark weighs on the lesson's gauge.
    """

    kind: str
    minutes: int = 0
    state: str = "planned"
    went: str = ""
    is_pinned: bool = False
    is_wrong: bool = False

    @property
    def word(self) -> str:
        return {"new": "New", "carry": "Carry over", "again": "Again"}[self.kind]

    @property
    def may_move(self) -> bool:
        """Whether it can be taken up and put elsewhere: what is planned, and is not the rest of something."""
        return self.state == "planned" and self.kind != "carry"

    @property
    def state_words(self) -> str:
        """What is said after the mark's word, for those who cannot see its shape."""
        words = {"done": "done", "begun": "begun, to finish later", "missed": "planned, but not reached"}
        parts = [words.get(self.state, ""), {"not_yet": "not there yet"}.get(self.went, self.went)]
        parts += [
            "kept in this lesson" if self.is_pinned else "",
            "something breaks" if self.is_wrong else "",
        ]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Cell:
    column: Column
    marks: tuple[Mark, ...] = ()
    is_barred: bool = False
    is_outside: bool = False

    @property
    def shade(self) -> str:
        """How it is shaded: a gap, a lesson that has been, tonight, or where the figure may not begin."""
        if self.column.is_gap:
            return "gap"
        if self.column.is_past:
            return "past"
        if self.column.is_tonight:
            return "tonight"
        return "outside" if self.is_outside and not self.marks else ""


@dataclass(frozen=True)
class Row:
    """A figure down the side. `needs`: names of what must come before, that is not known anyway, and
    `needs_keys` their primary keys; `asked`: what is asked of its place, in words."""

    plan_figure: PlanFigure
    level: str
    minutes: int
    review_minutes: int
    needs: tuple[str, ...]
    cells: tuple[Cell, ...]
    findings: tuple[Finding, ...] = ()
    is_placed: bool = True
    is_taught: bool = False
    asked: tuple[str, ...] = ()
    needs_keys: tuple[int, ...] = ()

    @property
    def name(self) -> str:
        return self.plan_figure.figure.name

    @property
    def importance(self) -> str:
        return importance_word(self.plan_figure.importance)

    @property
    def face(self) -> tuple[object, ...]:
        """All that its line shows, to tell whether it looks otherwise than before."""
        row = self.plan_figure
        cells = tuple((cell.marks, cell.is_barred, cell.shade) for cell in self.cells)
        return (cells, self.findings, self.is_placed, self.needs, self.asked, row.required)


@dataclass(frozen=True)
class Item:
    """A figure in the list of one lesson."""

    row: Row
    mark: Mark


@dataclass(frozen=True)
class Evening:
    """One lesson as a list: what is new in it (the rest of a figure too), and what comes again."""

    column: Column
    new: tuple[Item, ...]
    again: tuple[Item, ...]

    @property
    def face(self) -> tuple[object, ...]:
        """All that it shows, to tell whether it looks otherwise than before."""
        items = [(item.row.name, item.mark) for item in (*self.new, *self.again)]
        return (self.column.gauge, self.column.trouble, tuple(items))


@dataclass(frozen=True)
class Group:
    """The rows of one level."""

    level: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Board:
    weeks: tuple[Week, ...]
    groups: tuple[Group, ...]
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    tallest: int = 1

    @property
    def columns(self) -> tuple[Column, ...]:
        return tuple(column for week in self.weeks for column in week.columns)

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def evenings(self) -> tuple[Evening, ...]:
        """The same, lesson by lesson; a gap is an evening without figures."""
        told: dict[int, list[Item]] = {}
        for row in self.rows:
            for place, cell in enumerate(row.cells):
                if cell.marks:
                    told.setdefault(place, []).extend(Item(row, mark) for mark in cell.marks)
        return tuple(
            Evening(
                column,
                tuple(item for item in told.get(place, ()) if item.mark.kind != "again"),
                tuple(item for item in told.get(place, ()) if item.mark.kind == "again"),
            )
            for place, column in enumerate(self.columns)
        )

    @property
    def been(self) -> tuple[Evening, ...]:
        """Those of the lessons that have been, with the gaps between them."""
        return tuple(one for one in self.evenings if self._has_been(one.column))

    @property
    def coming(self) -> tuple[Evening, ...]:
        return tuple(one for one in self.evenings if not self._has_been(one.column))

    @property
    def unplaced(self) -> tuple[Row, ...]:
        return tuple(row for row in self.rows if not row.is_placed)

    def _has_been(self, column: Column) -> bool:
        last = max((one.day for one in self.columns if one.is_past), default=None)
        return last is not None and column.day <= last and (column.is_past or column.is_gap)

    @property
    def is_slim(self) -> bool:
        """Whether the whole ruler fits beside the names on a wide screen, so that the head may stay in view
        while the page scrolls."""
        return self._ruler(TIGHT_WIDTH) <= TIGHT_RULER_WIDTH

    @property
    def is_tight(self) -> bool:
        """Whether the lessons stand closer, because so many would not fit across otherwise."""
        return self._ruler(LESSON_WIDTH) > RULER_WIDTH

    def _ruler(self, lesson: float) -> float:
        lessons = sum(not column.is_gap for column in self.columns)
        return lessons * lesson + (len(self.columns) - lessons) * GAP_WIDTH

    @property
    def has_flags(self) -> bool:
        return any(week.milestones for week in self.weeks)

    @property
    def is_sound(self) -> bool:
        return not self.findings
