"""A figure with its faults and cautions, written together; and what to show whoever saves second."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from curriculum import actions, history
from curriculum.figure_form import FigureForm, as_typed
from curriculum.models import Caution, Dance, Fault, Figure
from curriculum.snapshot import FORMS
from curriculum.spreadsheet.cells import tidy
from school.models import Person
from school.second_writer import BothVersions

_PLAIN = (
    "level",
    "kind",
    "minutes_to_introduce",
    "minutes_to_review",
    "in_a_row",
    "lead",
    "response",
    "notes",
    *FORMS,
)


@transaction.atomic
def write_new(data: Mapping[str, Any], *, by: Person | None = None) -> Figure:
    """A new figure from a valid FigureForm's data. ValidationError where the curriculum refuses it."""
    fields = {name: data[name] for name in _PLAIN if name != "level"}
    figure = actions.create_figure(
        level=data["level"], name=data["name"], other_names=data["other_names"], ticks=data["beats"], **fields
    )
    _write_lists(figure, data)
    history.keep([figure.pk], by=by)
    return figure


@transaction.atomic
def write_changed(figure: Figure, data: Mapping[str, Any], *, by: Person | None = None) -> Figure:
    """The figure changed as in a valid FigureForm. Overtaken where the form began from an older version."""
    with history.changing(figure.pk, by=by):
        changed = actions.update_figure(
            figure=figure,
            version=data["version"] or 0,
            name=data["name"],
            other_names=data["other_names"],
            ticks=data["beats"],
            **{name: data[name] for name in _PLAIN},
        )
        _write_lists(changed, data)
    return changed


def _write_lists(figure: Figure, data: Mapping[str, Any]) -> None:
    figure.faults.all().delete()
    figure.cautions.all().delete()
    Fault.objects.bulk_create(
        Fault(figure=figure, position=position, fault=fault, remedy=remedy)
        for position, (fault, remedy) in enumerate(data["faults"])
    )
    Caution.objects.bulk_create(
        Caution(figure=figure, position=position, text=text) for position, text in enumerate(data["cautions"])
    )


def both_versions(
    dance: Dance, posted: Mapping[str, Any], figure: Figure
) -> tuple[FigureForm, tuple[BothVersions, ...]]:
    """The form with everything that was typed, ready to be saved over the figure as it stands now, and the
    fields in which the two differ."""
    stands = as_typed(figure)
    typed_now = {**{name: posted.get(name, "") for name in stands}, "version": figure.version}
    form = FigureForm(dance, typed_now, figure=figure)
    differ = []
    for name, now in stands.items():
        typed = str(form.data[name])
        if name == "version" or tidy(typed) == tidy(str(now)):
            continue
        names = _names(form, name)
        said = (names.get(text, text) for text in (str(now), typed))
        differ.append(BothVersions(str(form[name].label), *said))
    return form, tuple(differ)


def _names(form: FigureForm, field: str) -> dict[str, str]:
    """For a field in which a row is chosen: its key as it is typed -> its name."""
    queryset = getattr(form.fields[field], "queryset", None)
    return {} if queryset is None else {str(row.pk): row.name for row in queryset}
