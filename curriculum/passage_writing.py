"""A figure's ways in and out, written together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Max

from curriculum import history
from curriculum.chart_writing import derive_all
from curriculum.models import Figure, Passage, RoutineItem
from school.models import Person


@dataclass(frozen=True)
class WayToWrite:
    """One way. key: the passage's, None for a new one. values: fields to set; empty and gone: take it out."""

    key: int | None
    values: Mapping[str, Any]
    gone: bool = False


class StillDanced(Exception):  # noqa: N818 - says what it is
    """A way that was to be taken out stands in routines. `key`: the passage's; the sentence names them."""

    def __init__(self, key: int, routines: Sequence[str]) -> None:
        names = " and ".join(f"“{name}”" for name in routines)
        super().__init__(f"It is danced in {names}. Take it out there first.")
        self.key = key


@transaction.atomic
def save_passages(*, figure: Figure, version: int, ways: Sequence[WayToWrite], by: Person) -> None:
    """Write the ways; exits that charts tell are derived. Raises Overtaken where `version` is no longer the
    figure's, StillDanced where a way to be taken out stands in a routine."""
    with history.changing(figure.pk, by=by):
        history.take_turn(figure, version)
        stand = {passage.pk: passage for passage in figure.passages.all()}
        last = figure.passages.aggregate(last=Max("position"))["last"]
        place = 0 if last is None else last + 1
        for way in ways:
            if way.gone:
                _take_out(way.key)
            elif way.key is None:
                Passage.objects.create(figure=figure, position=place, **way.values)
                place += 1
            elif way.key in stand:
                passage = stand[way.key]
                for name, value in way.values.items():
                    setattr(passage, name, value)
                passage.save()
        derive_all(figure)


def _take_out(key: int | None) -> None:
    danced = RoutineItem.objects.filter(passage=key).select_related("routine").order_by("routine__name")
    names = list(dict.fromkeys(item.routine.name for item in danced))
    if key is not None and names:
        raise StillDanced(key, names)
    Passage.objects.filter(pk=key).delete()
