"""An older version of a figure brought back. That is a change like any other: it makes a new version."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from curriculum import actions, history
from curriculum.models import (
    Caution,
    ChartStep,
    Fault,
    Figure,
    FigureVersion,
    Hold,
    Level,
    Passage,
    Prerequisite,
    RoutineItem,
    StepChart,
)
from curriculum.snapshot import FORMS, PASSAGE_FIELDS, PLAIN_FIELDS, STEP_FIELDS, Snapshot
from school.models import Person

_OUT_OF_THE_WAY = 10_000


@transaction.atomic
def restore(*, figure: Figure, row: FigureVersion, version: int, by: Person) -> tuple[str, ...]:
    """Make the figure what it was at `row`; gives sentences about what could not come back.

    What hung on something that is gone (a level, a needed figure, a hold) cannot; a way that a routine dances
    stays. ValidationError where the curriculum refuses the whole (a name another figure has now, a circle);
    Overtaken where `version` is no longer the figure's.
    """
    shot, dance = row.snapshot, figure.dance_id
    lost: list[str] = []
    with history.changing(figure.pk, by=by):
        level = Level.objects.filter(pk=shot["level"]["pk"], dance=dance).first()
        if level is None:
            raise ValidationError(f"Its level {shot['level']['name']} is gone.")
        _drop_needs(figure, shot)
        actions.update_figure(
            figure=figure,
            version=version,
            other_names=shot["other_names"],
            level=level,
            **{form: _figure(shot.get(form), dance, lost) for form in FORMS},
            **{field: shot[field] for field in PLAIN_FIELDS},
        )
        _bring_needs(figure, shot, lost)
        _bring_words(figure, shot)
        holds = {hold.pk: hold for hold in Hold.objects.filter(dance=dance)}
        _bring_charts(figure, shot, holds, lost)
        _bring_passages(figure, shot, holds, lost)
        # What was brought in step by step is one change.
        Figure.objects.filter(pk=figure.pk).update(version=version + 1)
        figure.versions.filter(version__gt=version + 1).delete()
    return tuple(dict.fromkeys(lost))


def _figure(named: Snapshot | None, dance: int, lost: list[str]) -> Figure | None:
    if named is None:
        return None
    found = Figure.objects.filter(pk=named["pk"], dance=dance).first()
    if found is None:
        lost.append(f"{named['name']} is gone.")
    return found


def _drop_needs(figure: Figure, shot: Snapshot) -> None:
    """Needs that were not there go first: they could forbid the older level."""
    figure.prerequisites.exclude(needs__in=[need["pk"] for need in shot["needs"]]).delete()


def _bring_needs(figure: Figure, shot: Snapshot, lost: list[str]) -> None:
    stand = {row.needs_id: row for row in figure.prerequisites.all()}
    for need in shot["needs"]:
        if need["pk"] in stand:
            Prerequisite.objects.filter(pk=stand[need["pk"]].pk).update(same_evening=need["same_evening"])
        elif (needed := _figure(need, figure.dance_id, lost)) is not None:
            actions.add_prerequisite(figure=figure, needs=needed, same_evening=need["same_evening"])


def _bring_words(figure: Figure, shot: Snapshot) -> None:
    figure.faults.all().delete()
    figure.cautions.all().delete()
    Fault.objects.bulk_create(
        Fault(figure=figure, position=place, fault=fault, remedy=remedy)
        for place, (fault, remedy) in enumerate(shot["faults"])
    )
    Caution.objects.bulk_create(
        Caution(figure=figure, position=place, text=text) for place, text in enumerate(shot["cautions"])
    )


def _bring_charts(figure: Figure, shot: Snapshot, holds: dict[int, Hold], lost: list[str]) -> None:
    figure.charts.exclude(pk__in=[chart["pk"] for chart in shot["charts"]]).delete()
    for kept in shot["charts"]:
        # Under its old key, so that other versions still know it.
        chart = StepChart(pk=kept["pk"], figure=figure, name=kept["name"], note=kept["note"])
        chart.save()
        chart.steps.all().delete()
        ChartStep.objects.bulk_create(
            ChartStep(
                chart=chart,
                hold=_hold(step["hold"], holds, lost),
                **{field: step[field] for field in STEP_FIELDS},
            )
            for step in kept["steps"]
        )


def _bring_passages(figure: Figure, shot: Snapshot, holds: dict[int, Hold], lost: list[str]) -> None:
    kept = [passage["pk"] for passage in shot["passages"]]
    surplus = list(figure.passages.exclude(pk__in=kept))
    figure.passages.update(position=F("position") + _OUT_OF_THE_WAY)
    stay = _still_danced(surplus)
    for passage in surplus:
        if passage.pk in stay:
            lost.append(f"The way “{passage}” stays, for a routine dances it.")
        else:
            passage.delete()
    for place, way in enumerate(shot["passages"]):
        Passage(
            pk=way["pk"],
            figure=figure,
            position=place,
            entry_hold=_hold(way["entry_hold"], holds, lost),
            exit_hold=_hold(way["exit_hold"], holds, lost),
            chart_id=way["chart"],
            **{field: way[field] for field in PASSAGE_FIELDS},
        ).save()
    for place, pk in enumerate(sorted(stay), start=len(kept)):
        Passage.objects.filter(pk=pk).update(position=place)


def _still_danced(passages: Iterable[Passage]) -> set[Any]:
    items = RoutineItem.objects.filter(passage__in=list(passages))
    return set(items.values_list("passage", flat=True))


def _hold(named: Snapshot | None, holds: dict[int, Hold], lost: list[str]) -> Hold | None:
    if named is None:
        return None
    hold = holds.get(named["pk"])
    if hold is None:
        lost.append(f"The hold {named['name']} is gone.")
    return hold
