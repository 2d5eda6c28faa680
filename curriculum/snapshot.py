"""A figure with everything that hangs on it as plain JSON: what its history keeps and brings back.

Rows that other rows point to (passages, charts, needed figures, levels, holds) are kept with their key, so
that they are known again, and with their name, so that an old version can still be read.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Prefetch

from curriculum.models import ChartStep, Figure, Hold, Level, Passage, Prerequisite, StepChart

Snapshot = dict[str, Any]

PLAIN_FIELDS = (
    "name",
    "kind",
    "ticks",
    "minutes_to_introduce",
    "minutes_to_review",
    "in_a_row",
    "lead",
    "response",
    "notes",
)
FORMS = ("extension", "easier_form", "open_form")
"""Other figures a figure may name. A version kept before one of these was known does not speak of it."""
PASSAGE_FIELDS = ("label", "ticks", "entry_foot", "entry_place", "exit_foot", "exit_place", "give")
STEP_FIELDS = ("role", "position", "count", "ticks", "foot", "action", "direction", "turn", "cue")


def snapshots_of(figures: Iterable[int]) -> dict[int, Snapshot]:
    """Figure keys -> how each stands now. Nine queries for any number of figures."""
    rows = Figure.objects.filter(pk__in=list(figures)).select_related("level", *FORMS)
    rows = rows.prefetch_related(
        "names",
        "faults",
        "cautions",
        Prefetch("prerequisites", Prerequisite.objects.select_related("needs")),
        Prefetch("passages", Passage.objects.select_related("entry_hold", "exit_hold")),
        Prefetch("charts", StepChart.objects.order_by("pk")),
        Prefetch("charts__steps", ChartStep.objects.select_related("hold").order_by("-role", "position")),
    )
    return {figure.pk: _snapshot(figure) for figure in rows}


def _snapshot(figure: Figure) -> Snapshot:
    return {
        **{field: getattr(figure, field) for field in PLAIN_FIELDS},
        "other_names": figure.other_names,
        "level": _named(figure.level),
        **{form: _named(getattr(figure, form)) for form in FORMS},
        "faults": [[row.fault, row.remedy] for row in figure.faults.all()],
        "cautions": [row.text for row in figure.cautions.all()],
        "needs": [
            {**_named_row(row.needs), "same_evening": row.same_evening} for row in figure.prerequisites.all()
        ],
        "passages": [_passage(row) for row in figure.passages.all()],
        "charts": [_chart(row) for row in figure.charts.all()],
    }


def _passage(row: Passage) -> Snapshot:
    return {
        "pk": row.pk,
        **{field: getattr(row, field) for field in PASSAGE_FIELDS},
        "entry_hold": _named(row.entry_hold),
        "exit_hold": _named(row.exit_hold),
        "chart": row.chart_id,
    }


def _chart(row: StepChart) -> Snapshot:
    return {
        "pk": row.pk,
        "name": row.name,
        "note": row.note,
        "steps": [
            {**{field: getattr(step, field) for field in STEP_FIELDS}, "hold": _named(step.hold)}
            for step in row.steps.all()
        ],
    }


def _named(row: Level | Figure | Hold | None) -> Snapshot | None:
    return None if row is None else _named_row(row)


def _named_row(row: Level | Figure | Hold) -> Snapshot:
    return {"pk": row.pk, "name": row.name}
