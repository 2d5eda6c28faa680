"""Writes to the curriculum that are more than one form's save. One transaction each."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from curriculum import history
from curriculum.models import (
    Dance,
    Figure,
    FigureName,
    FloorUse,
    Hold,
    HoldChange,
    Level,
    Prerequisite,
    Rhythm,
    RhythmCount,
    name_key,
)
from curriculum.problems import needs_of
from curriculum.rules.syllabus import circle_sentence, circle_through
from curriculum.standard import StandardRhythm, holds_for, rhythms_for
from school.models import Person

ORDER_GAP = 10


@transaction.atomic
def create_dance(
    *,
    name: str,
    beats_per_bar: int = 4,
    beat_unit: int = 4,
    floor_use: str = FloorUse.SPOT,
    levels: Iterable[str] = (),
    rhythms: Iterable[StandardRhythm] | None = None,
    **fields: Any,
) -> Dance:
    """A dance with the usual holds, free changes and rhythms, and a ladder of `levels` from the lowest.

    `rhythms`: those of its metre unless they are given. `fields`: any other field of Dance. The lowest level
    takes one new figure an evening, the others two.
    ValidationError names the field.
    """
    dance = Dance(name=name, beats_per_bar=beats_per_bar, beat_unit=beat_unit, floor_use=floor_use, **fields)
    dance.full_clean()
    dance.save()
    _give_holds(dance)
    _give_rhythms(dance, rhythms_for(dance.beats_per_bar) if rhythms is None else rhythms)
    for rank, level_name in enumerate(levels, start=1):
        level = Level(dance=dance, rank=rank, name=level_name, most_new=1 if rank == 1 else 2)
        level.full_clean()
        level.save()
    return dance


def _give_holds(dance: Dance) -> None:
    standard = holds_for(dance.floor_use)
    rows = {
        hold.key: Hold.objects.create(
            dance=dance, key=hold.key, name=hold.name, facing=hold.facing, same_foot=hold.same_foot
        )
        for hold in standard
    }
    HoldChange.objects.bulk_create(
        HoldChange(hold=rows[hold.key], into=rows[into])
        for hold in standard
        for into in hold.turns_into
        if into in rows
    )


def _give_rhythms(dance: Dance, rhythms: Iterable[StandardRhythm]) -> None:
    for standard in rhythms:
        rhythm = Rhythm.objects.create(
            dance=dance,
            name=standard.name,
            begins_on_beat=standard.begins_on_beat,
            source=standard.source,
        )
        RhythmCount.objects.bulk_create(
            RhythmCount(rhythm=rhythm, position=position, count=count, ticks=ticks)
            for position, (count, ticks) in enumerate(standard.counts)
        )


@transaction.atomic
def create_figure(
    *, level: Level, name: str, other_names: Iterable[str] = (), by: Person | None = None, **fields: Any
) -> Figure:
    """A figure at the end of its level (unless `order` is given), under all its names.

    `fields`: any other field of Figure; `minutes_to_introduce` must be among them. ValidationError names
    the field, `other_names` for a name another figure has.
    """
    _lock(level.dance_id)
    if "order" not in fields:
        last = level.figures.aggregate(last=Max("order"))["last"]
        fields["order"] = ORDER_GAP if last is None else last + ORDER_GAP
    figure = Figure(dance_id=level.dance_id, level=level, name=_plain(name), **fields)
    figure.full_clean()
    figure.save()
    _write_names(figure, other_names)
    history.keep([figure.pk], by=by)
    return figure


@transaction.atomic
def update_figure(
    *,
    figure: Figure,
    version: int,
    name: str,
    other_names: Iterable[str] = (),
    by: Person | None = None,
    **fields: Any,
) -> Figure:
    """Change a figure and its names together. Raises Overtaken where `version` is no longer its version."""
    _lock(figure.dance_id)
    with history.changing(figure.pk, by=by):
        history.take_turn(figure, version)
        for field, value in fields.items():
            setattr(figure, field, value)
        figure.name = _plain(name)
        figure.full_clean()
        _refuse_wrong_level(figure)
        figure.save()
        _write_names(figure, other_names)
    return figure


@transaction.atomic
def add_prerequisite(
    *, figure: Figure, needs: Figure, same_evening: bool = False, by: Person | None = None
) -> Prerequisite:
    """`figure` needs `needs` from now on. ValidationError where that closes a circle, with it spelled out.

    The dance's row is locked first: two writers at once would each see no circle and close half of one.
    (On SQLite the transaction itself holds the only write lock.)
    """
    _lock(figure.dance_id)
    row = Prerequisite(figure=figure, needs=needs, same_evening=same_evening)
    if figure == needs:
        raise ValidationError({"needs": "A figure cannot need itself."})
    if figure.dance_id != needs.dance_id:
        raise ValidationError({"needs": f"{needs} belongs to another dance."})
    if needs.level.rank > figure.level.rank:
        raise ValidationError(
            {"needs": f"{needs} is taught on {needs.level}, above {figure.level} where {figure} is taught."}
        )
    if Prerequisite.objects.filter(figure=figure, needs=needs).exists():
        raise ValidationError({"needs": f"{figure} needs {needs} already."})
    wanted = needs_of(figure.dance)
    wanted[figure.name] |= {needs.name}
    circle = circle_through(wanted, figure.name)
    if circle is not None:
        raise ValidationError({"needs": f"That would close a circle: {circle_sentence(circle)}."})
    with history.changing(figure.pk, by=by):
        row.save()
        history.count_up(figure)
    return row


@transaction.atomic
def remove_prerequisite(*, figure: Figure, needs: Figure, by: Person | None = None) -> None:
    """`figure` no longer needs `needs`; nothing happens where it did not."""
    _lock(figure.dance_id)
    rows = Prerequisite.objects.filter(figure=figure, needs=needs)
    if rows.exists():
        with history.changing(figure.pk, by=by):
            rows.delete()
            history.count_up(figure)


def _refuse_wrong_level(figure: Figure) -> None:
    """A figure stands on a level of its own dance, not below what it needs nor above what needs it."""
    level = figure.level
    if level.dance_id != figure.dance_id:
        raise ValidationError({"level": f"{level} is a level of another dance."})
    above = Figure.objects.filter(opens__figure=figure, level__rank__gt=level.rank).first()
    if above is not None:
        raise ValidationError({"level": f"{figure} needs {above}, which is taught on a higher level."})
    below = Figure.objects.filter(prerequisites__needs=figure, level__rank__lt=level.rank).first()
    if below is not None:
        raise ValidationError({"level": f"{below} needs {figure} and is taught on a lower level."})


def _lock(dance_id: int) -> None:
    """Hold the dance until the transaction ends, so that names and prerequisites are written one by one."""
    Dance.objects.select_for_update().get(pk=dance_id)


def _plain(name: str) -> str:
    return " ".join(name.split())


def _write_names(figure: Figure, other_names: Iterable[str]) -> None:
    """Make FigureName say what the figure is called: the main name first, then the others, each once."""
    wanted = {name_key(figure.name): figure.name}
    for other in map(_plain, other_names):
        if other:
            wanted.setdefault(name_key(other), other)
    _refuse_taken(figure, wanted)
    figure.names.all().delete()
    for key, name in wanted.items():
        is_main = key == name_key(figure.name)
        FigureName(dance_id=figure.dance_id, figure=figure, name=name, is_main=is_main).save()


def _refuse_taken(figure: Figure, wanted: dict[str, str]) -> None:
    taken = FigureName.objects.filter(dance_id=figure.dance_id, key__in=wanted).exclude(figure=figure)
    for row in taken.select_related("figure").order_by("pk"):
        field = "name" if row.key == name_key(figure.name) else "other_names"
        whose = "" if row.is_main else f", another name of {row.figure}"
        raise ValidationError({field: f"This dance already has a figure called “{row.name}”{whose}."})
