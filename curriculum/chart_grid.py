"""The grid a chart is typed into: a row a count, both roles side by side, nothing typed ever lost.

A row without anything in it is passed over. A role that has nothing at a count of the other is held there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise
from typing import Any, Final, Literal

from django.http import QueryDict

from curriculum import chart_cells as cells
from curriculum.models import ChartStep, FloorRole, Hold
from curriculum.rules.chart import Finding, Step

Role = Literal["leader", "follower"]
ROLES: Final[tuple[Role, Role]] = ("leader", "follower")
MOST_ROWS: Final = 72
"""No row is added beyond these: twelve fields a row stay well under the thousand that a form may send."""
ROWS_AT_FIRST: Final = 8
MORE_ROWS: Final = 8


@dataclass(frozen=True)
class Column:
    """One column. words: the list its words are offered from. role: whose it is, if one's."""

    key: str
    label: str
    words: str = ""
    role: Role | None = None

    @property
    def name(self) -> str:
        """The column as it is called by itself: "leader foot"."""
        return f"{self.role} {self.label}" if self.role else self.label


def _roles_columns(role: Role) -> tuple[Column, ...]:
    return (
        Column(f"{role}_foot", "foot", "feet", role),
        Column(f"{role}_action", "action", "actions", role),
        Column(f"{role}_direction", "direction", "directions", role),
        Column(f"{role}_turn", "turn", "", role),
    )


COLUMNS: Final = (
    Column("count", "count"),
    Column("ticks", "ticks"),
    *_roles_columns("leader"),
    *_roles_columns("follower"),
    Column("hold", "hold after", "holds"),
    Column("cue", "cue"),
)
KEYS: Final = tuple(column.key for column in COLUMNS)


@dataclass
class Row:
    """One row as typed: column -> text. errors: what cannot be read. findings: what the body cannot dance."""

    cells: dict[str, str]
    errors: dict[str, str] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        return not any(text.strip() for text in self.cells.values())

    @property
    def shown(self) -> list[tuple[Column, str, bool]]:
        """Each column with its text and whether that is wrong."""
        return [(column, self.cells[column.key], column.key in self.errors) for column in COLUMNS]

    @property
    def mistakes(self) -> list[tuple[str, str]]:
        """What cannot be read: the column's name and the sentence."""
        return [(column.name, self.errors[column.key]) for column in COLUMNS if column.key in self.errors]


@dataclass
class Grid:
    """All rows as typed. After `read`, `steps` has each role's steps and `row_of` the row of each."""

    rows: list[Row]
    steps: dict[Role, list[Step]] = field(default_factory=lambda: {"leader": [], "follower": []})
    row_of: dict[Role, list[int]] = field(default_factory=lambda: {"leader": [], "follower": []})

    @property
    def has_errors(self) -> bool:
        return any(row.errors for row in self.rows)

    @property
    def is_empty(self) -> bool:
        return all(row.is_empty for row in self.rows)

    def texts(self) -> list[tuple[str, ...]]:
        """The cells of the rows that have any, in the order of the columns."""
        return [tuple(row.cells[key].strip() for key in KEYS) for row in self.rows if not row.is_empty]


def empty_row() -> Row:
    return Row(dict.fromkeys(KEYS, ""))


def typed_grid(posted: QueryDict) -> Grid:
    """The grid as it was sent: each column's fields stand in the order of the rows."""
    columns = {key: posted.getlist(key) for key in KEYS}
    number = max(len(texts) for texts in columns.values())
    rows = [
        Row({key: texts[place] if place < len(texts) else "" for key, texts in columns.items()})
        for place in range(number)
    ]
    return Grid(rows or [empty_row()])


def closed_up(grid: Grid) -> Grid:
    """The same with its empty rows at the end, so that the number of a row is the number of its step."""
    return Grid(sorted(_copied(grid), key=lambda row: row.is_empty))


def grid_of(steps: Iterable[ChartStep]) -> Grid:
    """A stored chart as it would be typed. Reads each step's hold: fetch it."""
    at: dict[int, dict[str, ChartStep]] = {}
    since = dict.fromkeys(FloorRole.values, 0)
    for step in steps:
        at.setdefault(since[step.role], {})[step.role] = step
        since[step.role] += step.ticks
    moments = [*sorted(at), max(since.values())]
    return Grid([_stored(at[start], end - start) for start, end in pairwise(moments)])


def _stored(steps: Mapping[str, ChartStep], ticks: int) -> Row:
    both = [steps[role] for role in FloorRole.values if role in steps]
    row = empty_row()
    row.cells |= {"count": both[0].count, "ticks": str(ticks)}
    row.cells["hold"] = next((step.hold.name for step in both if step.hold), "")
    row.cells["cue"] = "; ".join(dict.fromkeys(step.cue for step in both if step.cue))
    for role, key in zip(ROLES, FloorRole.values, strict=True):
        if key in steps:
            step = steps[key]
            row.cells |= step_cells(role, step.foot, step.action, step.direction, step.turn)
    return row


def step_cells(role: Role, foot: str | None, action: str, direction: str, turn: int) -> dict[str, str]:
    """One role's half of a row."""
    texts = (foot or "", action, direction, f"{turn:+d}" if turn else "")
    return dict(zip((column.key for column in _roles_columns(role)), texts, strict=True))


def read(grid: Grid, holds: Iterable[Hold]) -> None:
    """Fill the grid's steps; what cannot be read is said in the rows' errors and has no steps."""
    known = {word.casefold(): hold.name for hold in holds for word in (hold.key, hold.name)}
    for number, row in enumerate(grid.rows):
        if row.is_empty:
            continue
        shared = _read_cells(row, "", known)
        for role in ROLES:
            own = _read_half(row, role, known)
            if not row.errors:
                grid.steps[role].append(_step(shared, own))
                grid.row_of[role].append(number)


def place_findings(grid: Grid, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Put each finding into its row; gives those that are of a whole chart."""
    rest = []
    for finding in findings:
        role, row = finding.place.role, finding.place.row
        if role is None or row is None or not grid.row_of[role]:
            rest.append(finding)
        else:
            grid.rows[grid.row_of[role][min(row, len(grid.row_of[role]) - 1)]].findings.append(finding)
    return tuple(rest)


_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "count": cells.read_count,
    "ticks": cells.read_length,
    "foot": cells.read_foot,
    "action": cells.read_action,
    "direction": cells.read_direction,
    "turn": cells.read_turn,
    "cue": cells.read_cue,
}


def _read_cells(row: Row, role: str, holds: Mapping[str, str]) -> dict[str, Any]:
    """The values of one role's columns, or with "" of those of both; errors stand in the row."""
    values: dict[str, Any] = {}
    readers = _READERS | {"hold": partial(cells.read_hold, holds=holds)}
    for column in COLUMNS:
        if (column.role or "") != role:
            continue
        key = column.key.removeprefix(f"{role}_")
        try:
            values[key] = readers[key](row.cells[column.key])
        except ValueError as refusal:
            row.errors[column.key] = _said(str(refusal))
    return values


def _said(refusal: str) -> str:
    """The refusal as a sentence by itself."""
    return f"{refusal[:1].upper()}{refusal[1:]}{'' if refusal.endswith('?') else '.'}"


def _read_half(row: Row, role: Role, holds: Mapping[str, str]) -> dict[str, Any]:
    if any(row.cells[column.key].strip() for column in COLUMNS if column.role == role):
        return _read_cells(row, role, holds)
    return {"foot": "", "action": "hold", "direction": "", "turn": 0}


def _step(shared: Mapping[str, Any], own: Mapping[str, Any]) -> Step:
    return Step(
        count=shared["count"],
        ticks=shared["ticks"],
        foot=own["foot"] or None,
        action=own["action"],
        direction=own["direction"],
        turn=own["turn"],
        hold=shared["hold"] or None,
        cue=shared["cue"],
    )


def with_rhythm(grid: Grid, counts: Sequence[tuple[str, int]]) -> Grid:
    """The counts with their ticks in the first rows that have neither; rows are added as needed."""
    rows = _copied(grid)
    waiting = list(counts)
    for row in rows:
        if waiting and not row.cells["count"].strip() and not row.cells["ticks"].strip():
            row.cells |= _counted(*waiting.pop(0))
    for count, ticks in waiting[: max(0, MOST_ROWS - len(rows))]:
        rows.append(empty_row())
        rows[-1].cells |= _counted(count, ticks)
    return Grid(rows)


def _counted(count: str, ticks: int) -> dict[str, str]:
    return {"count": count, "ticks": str(ticks)}


def _copied(grid: Grid) -> list[Row]:
    return [Row(dict(row.cells)) for row in grid.rows]


def moved(grid: Grid, do: str, number: int) -> Grid:
    """The grid with a row put in below, taken out, or moved up or down."""
    rows = _copied(grid)
    if do == "below" and len(rows) < MOST_ROWS:
        rows.insert(number + 1, empty_row())
    elif do == "out":
        del rows[number]
    elif do in ("up", "down"):
        row = rows.pop(number)
        rows.insert(max(0, number + (1 if do == "down" else -1)), row)
    return Grid(rows or [empty_row()])


def longer(grid: Grid, by: int = MORE_ROWS) -> Grid:
    """The grid with more empty rows at its end."""
    rows = _copied(grid)
    return Grid([*rows, *(empty_row() for _ in range(min(by, MOST_ROWS - len(rows))))])


def with_follower(grid: Grid, follower: Sequence[Step]) -> Grid:
    """The follower's half of each row that has steps written anew."""
    rows = _copied(grid)
    for number, step in zip(grid.row_of["leader"], follower, strict=True):
        half = step_cells("follower", step.foot, step.action, step.direction, step.turn)
        rows[number].cells |= half
    return Grid(rows)
