"""Rows into values."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Prefetch, QuerySet

from curriculum import models
from curriculum.rules.naming import name_key
from curriculum.travel import values


def curriculum_of(dances: QuerySet[models.Dance]) -> values.Curriculum:
    """These dances as they stand, by name. Sixteen queries, whatever hangs on them."""
    return values.Curriculum(tuple(sorted(map(_dance, with_all(dances)), key=_by_name)))


def with_all(dances: QuerySet[models.Dance]) -> QuerySet[models.Dance]:
    """The dances with everything that hangs on them, in the order in which it travels."""
    return dances.prefetch_related(
        Prefetch("levels", models.Level.objects.order_by("rank")),
        Prefetch("holds", models.Hold.objects.order_by("pk")),
        "holds__changes",
        "rhythms__counts",
        Prefetch("figures", models.Figure.objects.in_teaching_order()),
        Prefetch("figures__names", models.FigureName.objects.order_by("-is_main", "pk")),
        "figures__prerequisites",
        "figures__faults",
        "figures__cautions",
        Prefetch("figures__charts", models.StepChart.objects.order_by("pk")),
        "figures__charts__steps",
        "figures__passages",
        Prefetch("levels__routines", models.Routine.objects.order_by("name")),
        Prefetch("levels__routines__items", models.RoutineItem.objects.order_by("position")),
    )


def _by_name(row: values.Dance | values.Rhythm | values.Routine) -> tuple[str, str]:
    return name_key(row.name), row.name


def _dance(row: models.Dance) -> values.Dance:
    names = _Names(row)
    return values.Dance(
        name=row.name,
        beats_per_bar=row.beats_per_bar,
        beat_unit=row.beat_unit,
        bars_per_phrase=row.bars_per_phrase,
        slowest_bars_per_minute=row.slowest_bars_per_minute,
        quickest_bars_per_minute=row.quickest_bars_per_minute,
        floor_use=row.floor_use,
        note=row.note,
        levels=tuple(values.Level(level.name, level.most_new) for level in row.levels.all()),
        holds=tuple(names.hold(hold) for hold in row.holds.all()),
        rhythms=tuple(sorted(map(_rhythm, row.rhythms.all()), key=_by_name)),
        figures=tuple(names.figure(figure) for figure in row.figures.all()),
        routines=tuple(
            routine
            for level in row.levels.all()
            for routine in sorted(map(names.routine, level.routines.all()), key=_by_name)
        ),
    )


def _rhythm(row: models.Rhythm) -> values.Rhythm:
    counts = tuple((count.count, count.ticks) for count in row.counts.all())
    return values.Rhythm(row.name, row.begins_on_beat, row.source, counts)


class _Names:
    """One dance's rows into values, with what rows point to by name."""

    def __init__(self, dance: models.Dance) -> None:
        self.levels = {row.pk: row.name for row in dance.levels.all()}
        self.holds: dict[int | None, str | None] = {row.pk: row.name for row in dance.holds.all()}
        self.figures: dict[int | None, str] = {row.pk: row.name for row in dance.figures.all()}
        self.passages = {
            passage.pk: values.Danced(figure.name, place)
            for figure in dance.figures.all()
            for place, passage in enumerate(figure.passages.all())
        }
        self.routines: dict[int | None, tuple[str, str]] = {
            routine.pk: (level.name, routine.name)
            for level in dance.levels.all()
            for routine in level.routines.all()
        }

    def hold(self, row: models.Hold) -> values.Hold:
        into = sorted(str(self.holds[change.into_id]) for change in row.changes.all())
        return values.Hold(row.name, row.key, row.facing, row.same_foot, tuple(into))

    def figure(self, row: models.Figure) -> values.Figure:
        charts = list(row.charts.all())
        places = {chart.pk: place for place, chart in enumerate(charts)}
        return values.Figure(
            name=row.name,
            level=self.levels[row.level_id],
            minutes_to_introduce=row.minutes_to_introduce,
            kind=row.kind,
            ticks=row.ticks,
            minutes_to_review=row.minutes_to_review,
            in_a_row=row.in_a_row,
            lead=row.lead,
            response=row.response,
            notes=row.notes,
            other_names=tuple(row.other_names),
            needs=tuple(
                sorted((self.figures[need.needs_id], need.same_evening) for need in row.prerequisites.all())
            ),
            extension=self.figures.get(row.extension_id),
            easier_form=self.figures.get(row.easier_form_id),
            open_form=self.figures.get(row.open_form_id),
            faults=tuple((fault.fault, fault.remedy) for fault in row.faults.all()),
            cautions=tuple(caution.text for caution in row.cautions.all()),
            charts=tuple(map(self._chart, charts)),
            passages=tuple(self._passage(passage, places) for passage in row.passages.all()),
        )

    def _chart(self, row: models.StepChart) -> values.Chart:
        steps = list(row.steps.all())
        leader = self._steps(step for step in steps if step.role == models.FloorRole.LEADER)
        follower = self._steps(step for step in steps if step.role == models.FloorRole.FOLLOWER)
        return values.Chart(row.name, row.note, leader, follower)

    def _steps(self, rows: Iterable[models.ChartStep]) -> tuple[values.Step, ...]:
        return tuple(
            values.Step(
                count=row.count,
                ticks=row.ticks,
                action=row.action,
                foot=row.foot,
                direction=row.direction,
                turn=row.turn,
                hold=self.holds.get(row.hold_id),
                cue=row.cue,
            )
            for row in rows
        )

    def _passage(self, row: models.Passage, charts: dict[int, int]) -> values.Passage:
        return values.Passage(
            label=row.label,
            ticks=row.ticks,
            entry_hold=self.holds.get(row.entry_hold_id),
            entry_foot=row.entry_foot,
            entry_place=row.entry_place,
            exit_hold=self.holds.get(row.exit_hold_id),
            exit_foot=row.exit_foot,
            exit_place=row.exit_place,
            give=row.give,
            chart=None if row.chart_id is None else charts.get(row.chart_id),
        )

    def routine(self, row: models.Routine) -> values.Routine:
        return values.Routine(
            name=row.name,
            level=self.levels[row.level_id],
            note=row.note,
            continues=self.routines.get(row.continues_id),
            dances=tuple(
                None if item.passage_id is None else self.passages[item.passage_id]
                for item in row.items.all()
            ),
        )
