"""Merged values into rows: all of them or none, in one transaction."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.db.models import F

from curriculum import history, models, routine_history
from curriculum.actions import ORDER_GAP
from curriculum.rules.naming import name_key
from curriculum.snapshot import FORMS
from curriculum.travel import values
from curriculum.travel.changes import Changes, compare
from curriculum.travel.collect import curriculum_of, with_all
from curriculum.travel.merged import Merged, MergedDance
from curriculum.travel.reading import read_file
from curriculum.travel.rows import BATCH, FigureParts
from school.models import Person

_DANCE_FIELDS = (
    "beats_per_bar",
    "beat_unit",
    "bars_per_phrase",
    "slowest_bars_per_minute",
    "quickest_bars_per_minute",
    "floor_use",
    "note",
)
_FIGURE_FIELDS = (
    "kind",
    "name",
    "ticks",
    "minutes_to_introduce",
    "minutes_to_review",
    "in_a_row",
    "lead",
    "response",
    "notes",
)
# More rungs than any ladder has: renumbered levels step aside so that no two meet on one.
_ASIDE = 1_000


class PreviewOvertaken(Exception):  # noqa: N818 - says what happened
    """The school changed since the preview, so the file would now do something else: `changes`."""

    def __init__(self, changes: Changes) -> None:
        super().__init__("The curriculum has changed since you looked at the preview.")
        self.changes = changes


@transaction.atomic
def take_in(*, data: bytes, fingerprint: str, by: Person | None = None) -> Changes:
    """Write what was previewed, known by its fingerprint; gives the changes made.

    Every dance is locked first, so that nobody changes one between the comparison and the writing. Raises
    PreviewOvertaken, with nothing written, where the comparison now comes out differently, or with mistakes.
    The number of queries depends on the number of dances, not on what hangs on them (bulk writes in batches).
    """
    list(models.Dance.objects.select_for_update().values_list("pk"))
    wanted, mistakes = read_file(data)
    merged, changes = compare(wanted, curriculum_of(models.Dance.objects.all()), mistakes)
    if changes.mistakes or changes.fingerprint() != fingerprint:
        raise PreviewOvertaken(changes)
    if not changes.nothing:
        _write(merged, by)
    return changes


def _write(merged: Iterable[MergedDance], by: Person | None) -> None:
    rows = {row.name: row for row in with_all(models.Dance.objects.all())}
    writers = [_DanceWriter(dance, rows.get(dance.before.name) if dance.before else None) for dance in merged]
    changed = [pk for writer in writers for pk in writer.keys_of_changed_figures()]
    routine_history.keep([pk for writer in writers for pk in writer.keys_of_routines_before()], by=None)
    with history.changing(*changed, by=by):
        for writer in writers:
            writer.write()
    history.keep([row.pk for writer in writers for row in writer.new_figures], by=by)
    routine_history.keep([row.pk for writer in writers for row in writer.written_routines], by=by)


class _DanceWriter:
    """One dance being written. Rows are known by their names of afterwards."""

    def __init__(self, merged: MergedDance, row: models.Dance | None) -> None:
        self.merged = merged
        self.dance = row or models.Dance()
        stand = row and {
            "levels": {level.name: level for level in row.levels.all()},
            "holds": {hold.name: hold for hold in row.holds.all()},
            "rhythms": {rhythm.name: rhythm for rhythm in row.rhythms.all()},
            "figures": {figure.name: figure for figure in row.figures.all()},
            "routines": {
                (level.pk, routine.name): routine
                for level in row.levels.all()
                for routine in level.routines.all()
            },
        }
        self.stand: dict[str, dict[Any, Any]] = stand or {}
        self.levels: dict[str, models.Level] = {}
        self.holds: dict[str, models.Hold] = {}
        self.figures: dict[str, models.Figure] = {}
        self.new_figures: list[models.Figure] = []
        self.written_routines: list[models.Routine] = []

    def keys_of_changed_figures(self) -> list[int]:
        return [self.stand["figures"][row.was].pk for row in self.merged.figures if row.is_changed]

    def keys_of_routines_before(self) -> list[int]:
        """Those that stand in a dance of whose routines one is changed."""
        if not any(row.is_changed for row in self.merged.routines):
            return []
        return [row.pk for row in self.stand["routines"].values()]

    def write(self) -> None:
        self._write_dance()
        self._write_levels()
        self._write_holds()
        self._write_rhythms()
        self._write_figures()
        parts = FigureParts(self.dance, self.merged.figures, self.figures, self.holds)
        parts.write()
        self._write_routines(parts.passages)

    def _write_dance(self) -> None:
        wanted = self.merged.value
        if self.merged.before == wanted and self.dance.pk:
            return
        self.dance.name = wanted.name
        for field in _DANCE_FIELDS:
            setattr(self.dance, field, getattr(wanted, field))
        self.dance.save()

    def _row(self, kind: str, merged: Merged[Any], new: Any) -> Any:
        """The row that stands, or `new`."""
        return new if merged.is_new else self.stand[kind][merged.was]

    def _write_levels(self) -> None:
        rows = []
        for merged in self.merged.levels:
            row = self._row("levels", merged, models.Level(dance=self.dance))
            row.name, row.most_new = merged.value.name, merged.value.most_new
            rows.append(row)
        self.levels = {row.name: row for row in rows}
        self._give_ranks(rows)
        models.Level.objects.bulk_update([row for row in rows if row.pk], ["name", "most_new", "rank"])
        models.Level.objects.bulk_create([row for row in rows if not row.pk])

    def _give_ranks(self, rows: list[models.Level]) -> None:
        """New levels on top take the next ranks; one between others moves those above it up."""
        first_new = next((place for place, row in enumerate(rows) if not row.pk), len(rows))
        if any(row.pk for row in rows[first_new:]):
            self.dance.levels.update(rank=F("rank") + _ASIDE)
            first_new = 0
        below = rows[first_new - 1].rank if first_new else 0
        for rank, row in enumerate(rows[first_new:], start=below + 1):
            row.rank = rank

    def _write_holds(self) -> None:
        changed, new = [], []
        for merged in self.merged.holds:
            row = self._row("holds", merged, models.Hold(dance=self.dance))
            value = merged.value
            row.name, row.key, row.facing, row.same_foot = (
                value.name,
                value.key,
                value.facing,
                value.same_foot,
            )
            self.holds[value.name] = row
            if merged.is_new:
                new.append(row)
            elif merged.is_changed:
                changed.append(row)
        models.Hold.objects.bulk_update(changed, ["name", "facing", "same_foot"])
        models.Hold.objects.bulk_create(new)
        models.HoldChange.objects.bulk_create(
            models.HoldChange(hold=self.holds[merged.value.name], into=self.holds[into])
            for merged in self.merged.holds
            for into in merged.value.turns_into
            if merged.before is None or into not in merged.before.turns_into
        )

    def _write_rhythms(self) -> None:
        touched = [row for row in self.merged.rhythms if row.is_new or row.is_changed]
        rows = [
            (self._row("rhythms", merged, models.Rhythm(dance=self.dance)), merged.value)
            for merged in touched
        ]
        for row, value in rows:
            row.name, row.begins_on_beat, row.source = value.name, value.begins_on_beat, value.source
        stand = [row for row, _ in rows if row.pk]
        models.Rhythm.objects.bulk_update(stand, ["name", "begins_on_beat", "source"])
        models.RhythmCount.objects.filter(rhythm__in=stand).delete()
        models.Rhythm.objects.bulk_create([row for row, _ in rows if not row.pk])
        models.RhythmCount.objects.bulk_create(
            models.RhythmCount(rhythm=row, position=position, count=count, ticks=ticks)
            for row, value in rows
            for position, (count, ticks) in enumerate(value.counts)
        )

    def _write_figures(self) -> None:
        changed, new = [], []
        for merged in self.merged.figures:
            row = self._row("figures", merged, models.Figure(dance=self.dance))
            self.figures[merged.value.name] = row
            if merged.is_new:
                new.append(self._fill(row, merged.value))
            elif merged.is_changed:
                row.version += 1
                changed.append(self._fill(row, merged.value))
        moved = self._give_orders()
        models.Figure.objects.bulk_update(changed, [*_FIGURE_FIELDS, "level", "version"], batch_size=BATCH)
        models.Figure.objects.bulk_update(moved, ["order"], batch_size=BATCH)
        models.Figure.objects.bulk_create(new, batch_size=BATCH)
        self.new_figures = new
        self._write_forms([*changed, *new])

    def _fill(self, row: models.Figure, value: values.Figure) -> models.Figure:
        for field in _FIGURE_FIELDS:
            setattr(row, field, getattr(value, field))
        row.level = self.levels[value.level]
        return row

    def _give_orders(self) -> list[models.Figure]:
        """On each level a figure comes into, places with gaps; gives the rows that stood elsewhere."""
        come_into = {
            row.value.level
            for row in self.merged.figures
            if row.before is None or row.before.level != row.value.level
        }
        moved = []
        for level in come_into:
            names = [row.value.name for row in self.merged.figures if row.value.level == level]
            for place, name in enumerate(names, start=1):
                row = self.figures[name]
                if row.order != place * ORDER_GAP:
                    row.order = place * ORDER_GAP
                    moved += [row] if row.pk else []
        return moved

    def _write_forms(self, rows: list[models.Figure]) -> None:
        """What a figure grows into, its easier and its open form, once every figure has a row."""
        wanted = {row.value.name: row.value for row in self.merged.figures}
        for row in rows:
            value = wanted[row.name]
            for form in FORMS:
                name = getattr(value, form)
                setattr(row, form, self.figures[name] if name else None)
        models.Figure.objects.bulk_update(rows, FORMS, batch_size=BATCH)

    def _write_routines(self, passages: dict[str, list[models.Passage]]) -> None:
        touched = [row for row in self.merged.routines if row.is_new or row.is_changed]
        rows: dict[tuple[str, str], models.Routine] = {}
        for merged in self.merged.routines:
            key = (merged.value.level, name_key(merged.value.name))
            rows[key] = self._routine_row(merged)
        mine = [(rows[merged.value.level, name_key(merged.value.name)], merged.value) for merged in touched]
        models.Routine.objects.bulk_create([row for row, _ in mine if not row.pk])
        self.written_routines = [row for row, _ in mine]
        for row, value in mine:
            before = value.continues
            row.continues = rows[before[0], name_key(before[1])] if before else None
        models.Routine.objects.bulk_update(
            [row for row, _ in mine], ["name", "note", "continues", "version"], batch_size=BATCH
        )
        models.RoutineItem.objects.filter(routine__in=[row for row, _ in mine]).delete()
        models.RoutineItem.objects.bulk_create(
            (
                models.RoutineItem(
                    routine=row,
                    position=place * ORDER_GAP,
                    passage=passages[item.figure][item.passage] if item else None,
                    is_corner=item is None,
                )
                for row, value in mine
                for place, item in enumerate(value.dances, start=1)
            ),
            batch_size=BATCH,
        )

    def _routine_row(self, merged: Merged[values.Routine]) -> models.Routine:
        if merged.before is None:
            row = models.Routine(level=self.levels[merged.value.level])
        else:
            level = self.levels[merged.before.level]
            row = self.stand["routines"][level.pk, merged.was]
            row.version += merged.is_changed
        row.name, row.note = merged.value.name, merged.value.note
        return row
