"""A file's changes into rows: all of them or none, in one transaction."""

from __future__ import annotations

from collections import defaultdict

from django.db import transaction

from curriculum import history
from curriculum.actions import ORDER_GAP
from curriculum.models import (
    Dance,
    Figure,
    FigureKind,
    FigureName,
    Hold,
    Level,
    Passage,
    Prerequisite,
    name_key,
)
from curriculum.spreadsheet import columns
from curriculum.spreadsheet.cells import tidy_name
from curriculum.spreadsheet.compare import compare
from curriculum.spreadsheet.differences import ways_to_write
from curriculum.spreadsheet.placing import orders_afterwards
from curriculum.spreadsheet.standing import passages_in_order, standing_of, way_of
from curriculum.spreadsheet.values import Changes, Sheet, Standing, WantedFigure
from school.models import Person

BATCH = 200
_OWN_FIELDS = [
    "level",
    "kind",
    "name",
    "ticks",
    "minutes_to_introduce",
    "minutes_to_review",
    "notes",
    "order",
    "version",
]


class PreviewOvertaken(Exception):  # noqa: N818 - says what happened
    """The dance changed since the preview, so the file would now do something else: `changes`."""

    def __init__(self, changes: Changes) -> None:
        super().__init__("The dance has changed since you looked at the preview.")
        self.changes = changes


@transaction.atomic
def apply_sheet(*, dance: Dance, sheet: Sheet, fingerprint: str, by: Person | None = None) -> Changes:
    """Write what was previewed, known by its fingerprint; gives the changes made.

    The dance's row is locked first, so that nobody changes it between the comparison and the writing.
    Raises PreviewOvertaken, with nothing written, where the comparison now comes out differently. The
    number of queries depends on the kinds of change, not on the number of figures (bulk writes in batches).
    """
    Dance.objects.select_for_update().get(pk=dance.pk)
    standing = standing_of(dance)
    changes = compare(sheet, standing)
    if changes.errors or changes.fingerprint() != fingerprint:
        raise PreviewOvertaken(changes)
    if not changes.nothing:
        writer = _Writer(dance, changes, standing)
        with history.changing(*_changed_figures(dance, changes), by=by):
            writer.write()
        history.keep([writer.figures[row.name].pk for row in changes.new], by=by)
    return changes


def _changed_figures(dance: Dance, changes: Changes) -> list[int]:
    """Keys of the figures that stand and are changed. One query."""
    stand = {tidy_name(name): figure for figure, name in dance.figures.values_list("pk", "name")}
    return [stand[change.wanted.stands] for change in changes.changed]


class _Writer:
    """One import being written. Figures are known by their main name afterwards."""

    def __init__(self, dance: Dance, changes: Changes, standing: Standing) -> None:
        self.dance = dance
        self.changes = changes
        self.orders = {
            name: place * ORDER_GAP
            for names in orders_afterwards(changes, standing).values()
            for place, name in enumerate(names, start=1)
        }
        self.levels: dict[str, Level] = {}
        self.figures: dict[str, Figure] = {}

    def write(self) -> None:
        self._write_levels()
        self._write_figures()
        self._write_names()
        self._write_passages()
        self._write_needs()
        self._write_orders()

    def _wanted(self, *fields: str) -> list[WantedFigure]:
        """New figures, and those of which one of these columns changes."""
        changed = (
            change.wanted
            for change in self.changes.changed
            if any(field.column in fields for field in change.fields)
        )
        return [*self.changes.new, *changed]

    def _write_levels(self) -> None:
        self.levels = {level.name: level for level in self.dance.levels.all()}
        highest = max((level.rank for level in self.levels.values()), default=0)
        for rank, name in enumerate(self.changes.new_levels, start=highest + 1):
            self.levels[name] = Level.objects.create(
                dance=self.dance, name=name, rank=rank, most_new=1 if rank == 1 else 2
            )

    def _write_figures(self) -> None:
        rows = {change.wanted.stands: change.wanted for change in self.changes.changed}
        changed = []
        for figure in self.dance.figures.all():
            row = rows.get(tidy_name(figure.name))
            if row is not None:
                changed.append(self._fill(figure, row))
                figure.version += 1
            self.figures[tidy_name(figure.name)] = figure
        Figure.objects.bulk_update(changed, _OWN_FIELDS, batch_size=BATCH)
        new = [self._fill(Figure(dance=self.dance), row) for row in self.changes.new]
        for figure in Figure.objects.bulk_create(new, batch_size=BATCH):
            self.figures[figure.name] = figure

    def _fill(self, figure: Figure, row: WantedFigure) -> Figure:
        if figure.pk is None or figure.ticks != row.ticks:
            figure.kind = FigureKind.TECHNIQUE if row.ticks is None else FigureKind.FIGURE
        figure.name = row.name
        figure.level = self.levels[row.level]
        figure.ticks = row.ticks
        figure.minutes_to_introduce = row.minutes
        figure.minutes_to_review = row.review_minutes
        figure.notes = row.notes
        figure.order = self.orders.get(row.name, figure.order)
        return figure

    def _write_names(self) -> None:
        """All old names go before the first new one comes: figures may have swapped theirs."""
        rows = self._wanted(columns.FIGURE, columns.OTHER_NAMES)
        FigureName.objects.filter(figure__in=[self.figures[row.name] for row in rows]).delete()
        FigureName.objects.bulk_create(
            (
                FigureName(
                    dance=self.dance,
                    figure=self.figures[row.name],
                    name=name,
                    key=name_key(name),
                    is_main=name == row.name,
                )
                for row in rows
                for name in (row.name, *row.other_names)
            ),
            batch_size=BATCH,
        )

    def _write_passages(self) -> None:
        rows = self._wanted(columns.HOLD_AT_START, columns.HOLD_AT_END)
        holds: dict[str | None, Hold | None] = {hold.name: hold for hold in self.dance.holds.all()}
        holds[None] = None
        stand: dict[int, list[Passage]] = defaultdict(list)
        for passage in passages_in_order(self.dance):
            stand[passage.figure_id].append(passage)
        moved: list[Passage] = []
        gone: list[int] = []
        new: list[Passage] = []
        for row in rows:
            figure = self.figures[row.name]
            passages = stand[figure.pk]
            turned, away, come = ways_to_write(tuple(dict.fromkeys(map(way_of, passages))), row.ways)
            for passage in passages:
                way = way_of(passage)
                if way in away:
                    gone.append(passage.pk)
                elif way in turned:
                    passage.entry_hold, passage.exit_hold = (holds[name] for name in turned[way])
                    moved.append(passage)
            last = max((passage.position for passage in passages), default=-1)
            for position, (start, end) in enumerate(come, start=last + 1):
                new.append(
                    Passage(figure=figure, position=position, entry_hold=holds[start], exit_hold=holds[end])
                )
        Passage.objects.filter(pk__in=gone).delete()
        Passage.objects.bulk_update(moved, ["entry_hold", "exit_hold"], batch_size=BATCH)
        Passage.objects.bulk_create(new, batch_size=BATCH)

    def _write_needs(self) -> None:
        """A need that stays keeps its row, and with it whether the two may share an evening."""
        rows = self._wanted(columns.NEEDS)
        wanted = {
            (self.figures[row.name].pk, self.figures[needed].pk) for row in rows for needed in row.needs
        }
        figures = [self.figures[row.name] for row in rows]
        stand = {
            (row.figure_id, row.needs_id): row.pk for row in Prerequisite.objects.filter(figure__in=figures)
        }
        Prerequisite.objects.filter(pk__in=[pk for pair, pk in stand.items() if pair not in wanted]).delete()
        Prerequisite.objects.bulk_create(
            (
                Prerequisite(figure_id=figure, needs_id=needed)
                for figure, needed in sorted(wanted - stand.keys())
            ),
            batch_size=BATCH,
        )

    def _write_orders(self) -> None:
        """Figures that make room for those that came between them; places keep gaps."""
        moved = []
        for name, order in self.orders.items():
            figure = self.figures[name]
            if figure.order != order:
                figure.order = order
                moved.append(figure)
        Figure.objects.bulk_update(moved, ["order"], batch_size=BATCH)
