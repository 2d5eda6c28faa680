"""One sitting at the chart grid: what was typed, what is wrong with it, what follows, and its saving."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cached_property
from itertools import zip_longest

from django.http import QueryDict

from curriculum import chart_grid
from curriculum.chart_cells import DIRECTIONS
from curriculum.chart_facts import ChartFacts, check_typed, facts_of
from curriculum.chart_form import ChartForm, as_it_stands
from curriculum.chart_grid import COLUMNS, MOST_ROWS, ROLES, ROWS_AT_FIRST, Grid
from curriculum.chart_writing import save_chart
from curriculum.check import DanceRules, rules_of
from curriculum.models import Figure, Hold, Passage, StepChart
from curriculum.rules.chart import Finding
from curriculum.rules.opposite import natural_opposite
from curriculum.rules.steps import ACTIONS
from school.models import Person
from school.sent import whole_number


@dataclass(frozen=True)
class Differs:
    """A place in which the chart as it stands differs from what was typed."""

    where: str
    stands: str
    typed: str


class ChartEditor:
    """The page's state. Everything typed stays in `form` and `grid`, whatever is wrong with it."""

    columns = COLUMNS
    roles = ROLES
    most_rows = MOST_ROWS

    def __init__(self, figure: Figure, chart: StepChart | None, posted: QueryDict | None = None) -> None:
        self.figure, self.chart = figure, chart
        self.form = ChartForm(figure, posted, initial=as_it_stands(figure, chart))
        self.told_before = posted.get("told", "") if posted is not None else ""
        self.differ: tuple[Differs, ...] | None = None
        self.said = ""
        self.findings: tuple[Finding, ...] = ()
        self.is_sound = True
        self._show(self.standing() if posted is None else chart_grid.closed_up(chart_grid.typed_grid(posted)))

    def standing(self) -> Grid:
        """The chart as it is stored, with some empty rows below."""
        steps = self.chart.steps.select_related("hold") if self.chart is not None else ()
        grid = chart_grid.grid_of(steps)
        return chart_grid.longer(grid, max(2, ROWS_AT_FIRST - len(grid.rows)))

    def _show(self, grid: Grid) -> None:
        self.grid = grid
        chart_grid.read(grid, self.holds)
        leader, follower = grid.steps["leader"], grid.steps["follower"]
        found = () if grid.has_errors else self._check()
        self.is_sound = not found
        self.told = _digest(found)
        self.findings = chart_grid.place_findings(grid, found)
        whole = not grid.has_errors
        self.facts: ChartFacts | None = (
            facts_of(leader, follower, self.passages, self.rules) if whole else None
        )

    def _check(self) -> tuple[Finding, ...]:
        return check_typed(
            self.figure,
            self.grid.steps["leader"],
            self.grid.steps["follower"],
            self.passages,
            self.rules,
            own_length=bool(self._value("own_length")),
        )

    def _value(self, name: str) -> object:
        if not self.form.is_bound:
            return self.form.initial[name]
        self.form.is_valid()
        return self.form.cleaned_data.get(name)

    @cached_property
    def holds(self) -> list[Hold]:
        return list(self.figure.dance.holds.all())

    @cached_property
    def rules(self) -> DanceRules:
        return rules_of(self.figure.dance, self.holds)

    @cached_property
    def passages(self) -> list[Passage]:
        """The figure's passages that are chosen in the form."""
        chosen = self._value("passages") or []
        keys = {row.pk if isinstance(row, Passage) else row for row in chosen}
        return [row for row in self.form.fields["passages"].queryset if row.pk in keys]

    @property
    def words(self) -> dict[str, Sequence[str]]:
        """The words each list offers."""
        holds = [hold.name for hold in self.holds]
        return {"feet": ("L", "R"), "actions": sorted(ACTIONS), "directions": DIRECTIONS, "holds": holds}

    def do(self, what: str) -> None:
        """Change the grid as a button says; nothing is saved."""
        name, _, number = what.partition(":")
        row = whole_number(number)
        if name in ("below", "out", "up", "down"):
            self.grid = chart_grid.typed_grid(self.form.data)
        if name == "more":
            self._show(chart_grid.longer(self.grid))
        elif name == "rhythm":
            self._fill_in_rhythm()
        elif name == "follower":
            self._start_follower()
        elif row is not None and row < len(self.grid.rows):
            self._show(chart_grid.moved(self.grid, name, row))

    def _fill_in_rhythm(self) -> None:
        self.form.is_valid()
        if not self.form.counts:
            self.form.add_error("rhythm", "Choose the rhythm whose counts are to be filled in.")
            return
        self._show(chart_grid.with_rhythm(self.grid, self.form.counts))

    def _start_follower(self) -> None:
        if self.grid.has_errors or not self.grid.steps["leader"]:
            self.said = (
                "Fill in the leader’s part first, without mistakes; then the follower’s can be started."
            )
            return
        begins = next((row.entry_hold.name for row in self.passages if row.entry_hold), None)
        follower = natural_opposite(self.grid.steps["leader"], entry=begins, holds=self.rules.holds)
        self._show(chart_grid.with_follower(self.grid, follower))

    def may_be_saved(self) -> bool:
        """Whether all can be read, and whoever saves was told before what is wrong by the body's rules."""
        if not self.form.is_valid() or self.grid.has_errors:
            return False
        if self.grid.is_empty:
            self.said = "A chart has at least one row. Fill in the first."
            return False
        return self.is_sound or self.told == self.told_before

    def save(self, by: Person) -> StepChart:
        """Write the chart. Overtaken where somebody changed the figure meanwhile."""
        data = self.form.cleaned_data
        return save_chart(
            figure=self.figure,
            chart=self.chart,
            version=data["version"] or 0,
            name=data["name"],
            note=data["note"],
            leader=self.grid.steps["leader"],
            follower=self.grid.steps["follower"],
            passages=[passage.pk for passage in self.passages],
            own_length=data["own_length"],
            by=by,
        )

    def overtaken(self) -> None:
        """Set both versions beside each other; what was typed counts if it is saved now."""
        self.figure.refresh_from_db()
        stands = as_it_stands(self.figure, self.chart)
        data = self.form.data.copy()
        data["version"] = str(self.figure.version)
        self.form.data = data
        ways = {row.pk: row.label or "the whole" for row in self.form.fields["passages"].queryset}
        typed_ways = ", ".join(row.label or "the whole" for row in self.passages)
        pairs = [
            ("Name of the chart", stands["name"], str(data.get("name", ""))),
            ("Note", stands["note"], str(data.get("note", ""))),
            ("Ways that are danced so", ", ".join(ways[key] for key in stands["passages"]), typed_ways),
        ]
        differ = [Differs(*pair) for pair in pairs if self.chart and pair[1].split() != pair[2].split()]
        if self.chart is not None:
            differ += _rows_that_differ(self.standing(), self.grid)
        self.differ = tuple(differ)


def _rows_that_differ(stands: Grid, typed: Grid) -> list[Differs]:
    left, right = stands.texts(), typed.texts()
    differ = []
    for tag, start, end, first, last in SequenceMatcher(None, left, right, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        pairs = zip_longest(left[start:end], right[first:last])
        for number, (old, new) in enumerate(pairs, start=first + 1):
            differ.append(Differs(f"Row {number}", _as_line(old), _as_line(new)))
    return differ


def _as_line(cells: tuple[str, ...] | None) -> str:
    return "no such row" if cells is None else " · ".join(cell for cell in cells if cell)


def _digest(findings: Sequence[Finding]) -> str:
    """Tells whether what is found now is what was shown before."""
    text = "\n".join(f"{finding.place} {finding.sentence}" for finding in findings)
    return hashlib.sha256(text.encode()).hexdigest()[:16] if findings else ""
