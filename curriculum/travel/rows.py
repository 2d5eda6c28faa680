"""What hangs on figures into rows: names, faults, cautions, needs, charts, passages."""

from __future__ import annotations

from collections.abc import Sequence

from curriculum import models
from curriculum.rules.naming import name_key
from curriculum.travel import values
from curriculum.travel.merged import Merged

BATCH = 200
_PASSAGE_FIELDS = ("label", "ticks", "entry_foot", "entry_place", "exit_foot", "exit_place", "give")
Rows = Sequence[Merged[values.Figure]]


class FigureParts:
    """Writes what hangs on the new and changed figures of one dance. `figures` and `holds`: rows by name.

    Afterwards `passages` has every figure's passages in order, also of figures that were not touched.
    """

    def __init__(
        self,
        dance: models.Dance,
        merged: Rows,
        figures: dict[str, models.Figure],
        holds: dict[str, models.Hold],
    ) -> None:
        self.dance = dance
        self.touched = [row for row in merged if row.is_new or row.is_changed]
        self.figures = figures
        self.holds = holds
        self.charts: dict[str, list[models.StepChart]] = {}
        self.passages: dict[str, list[models.Passage]] = {}
        for row in merged:
            name = row.value.name
            self.charts[name] = [] if row.is_new else list(figures[name].charts.all())
            self.passages[name] = [] if row.is_new else list(figures[name].passages.all())

    def write(self) -> None:
        self._write_names(self.touched)
        self._write_faults(self.touched)
        self._write_cautions(self.touched)
        self._write_needs(self.touched)
        self._write_charts(self.touched)
        self._write_passages(self.touched)

    def _of(self, rows: Rows) -> list[models.Figure]:
        return [self.figures[row.value.name] for row in rows]

    def _write_names(self, rows: Rows) -> None:
        """All old names go before the first new one comes: figures may have swapped theirs."""
        rows = [
            row
            for row in rows
            if row.before is None or row.was != row.value.name or row.before.names != row.value.names
        ]
        models.FigureName.objects.filter(figure__in=self._of(rows)).delete()
        models.FigureName.objects.bulk_create(
            (
                models.FigureName(
                    dance=self.dance,
                    figure=self.figures[row.value.name],
                    name=name,
                    key=name_key(name),
                    is_main=name == row.value.name,
                )
                for row in rows
                for name in row.value.names
            ),
            batch_size=BATCH,
        )

    def _write_faults(self, rows: Rows) -> None:
        rows = [row for row in rows if row.before is None or row.before.faults != row.value.faults]
        models.Fault.objects.filter(figure__in=self._of(rows)).delete()
        models.Fault.objects.bulk_create(
            (
                models.Fault(
                    figure=self.figures[row.value.name], position=position, fault=fault, remedy=remedy
                )
                for row in rows
                for position, (fault, remedy) in enumerate(row.value.faults)
            ),
            batch_size=BATCH,
        )

    def _write_cautions(self, rows: Rows) -> None:
        rows = [row for row in rows if row.before is None or row.before.cautions != row.value.cautions]
        models.Caution.objects.filter(figure__in=self._of(rows)).delete()
        models.Caution.objects.bulk_create(
            (
                models.Caution(figure=self.figures[row.value.name], position=position, text=text)
                for row in rows
                for position, text in enumerate(row.value.cautions)
            ),
            batch_size=BATCH,
        )

    def _write_needs(self, rows: Rows) -> None:
        rows = [row for row in rows if row.before is None or row.before.needs != row.value.needs]
        models.Prerequisite.objects.filter(figure__in=self._of(rows)).delete()
        models.Prerequisite.objects.bulk_create(
            (
                models.Prerequisite(
                    figure=self.figures[row.value.name], needs=self.figures[needed], same_evening=together
                )
                for row in rows
                for needed, together in row.value.needs
            ),
            batch_size=BATCH,
        )

    def _write_charts(self, rows: Rows) -> None:
        """Charts that stand keep their row; the steps of one that differs are written anew."""
        touched: list[tuple[models.StepChart, values.Chart]] = []
        for row in rows:
            stand = self.charts[row.value.name]
            before = row.before.charts if row.before else ()
            for place, chart in enumerate(row.value.charts):
                if place == len(stand):
                    stand.append(models.StepChart(figure=self.figures[row.value.name]))
                elif before[place] == chart:
                    continue
                stand[place].name, stand[place].note = chart.name, chart.note
                touched.append((stand[place], chart))
        there = [row for row, _ in touched if row.pk]
        models.StepChart.objects.bulk_update(there, ["name", "note"], batch_size=BATCH)
        models.ChartStep.objects.filter(chart__in=there).delete()
        models.StepChart.objects.bulk_create([row for row, _ in touched if not row.pk], batch_size=BATCH)
        models.ChartStep.objects.bulk_create(
            (
                self._step(row, role, position, step)
                for row, chart in touched
                for role, steps in (
                    (models.FloorRole.LEADER, chart.leader),
                    (models.FloorRole.FOLLOWER, chart.follower),
                )
                for position, step in enumerate(steps)
            ),
            batch_size=BATCH,
        )

    def _step(self, chart: models.StepChart, role: str, position: int, step: values.Step) -> models.ChartStep:
        return models.ChartStep(
            chart=chart,
            role=role,
            position=position,
            count=step.count,
            ticks=step.ticks,
            foot=step.foot,
            action=step.action,
            direction=step.direction,
            turn=step.turn,
            hold=self.holds[step.hold] if step.hold else None,
            cue=step.cue,
        )

    def _write_passages(self, rows: Rows) -> None:
        """Passages that stand keep their row and place, for routines dance them; new ones come last."""
        changed: list[models.Passage] = []
        new: list[models.Passage] = []
        for row in rows:
            name = row.value.name
            stand = self.passages[name]
            before = row.before.passages if row.before else ()
            for place, passage in enumerate(row.value.passages):
                if place == len(stand):
                    position = stand[-1].position + 1 if stand else 0
                    stand.append(models.Passage(figure=self.figures[name], position=position))
                    new.append(self._fill(stand[place], passage, name))
                elif before[place] != passage:
                    changed.append(self._fill(stand[place], passage, name))
        fields = [*_PASSAGE_FIELDS, "entry_hold", "exit_hold", "chart"]
        models.Passage.objects.bulk_update(changed, fields, batch_size=BATCH)
        models.Passage.objects.bulk_create(new, batch_size=BATCH)

    def _fill(self, row: models.Passage, value: values.Passage, figure: str) -> models.Passage:
        for field in _PASSAGE_FIELDS:
            setattr(row, field, getattr(value, field))
        row.entry_hold = self.holds[value.entry_hold] if value.entry_hold else None
        row.exit_hold = self.holds[value.exit_hold] if value.exit_hold else None
        row.chart = None if value.chart is None else self.charts[figure][value.chart]
        return row
