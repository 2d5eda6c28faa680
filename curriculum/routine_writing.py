"""Writes to routines. One transaction each; every one is a version of the routine's history."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from curriculum import routine_history as history
from curriculum.actions import ORDER_GAP
from curriculum.models import Level, Passage, Routine, RoutineItem, RoutineVersion
from curriculum.rules.row_editing import MOST_ITEMS, RowTooLong
from school.models import Person

Row = tuple[int | None, ...]
"""Keys of passages in order; None is a corner."""

_BATCH = 500


@transaction.atomic
def create_routine(
    *,
    level: Level,
    name: str,
    by: Person,
    note: str = "",
    continues: Routine | None = None,
    row: Sequence[int | None] = (),
) -> Routine:
    """A routine of the level, empty or with a row. ValidationError says what is wrong with it."""
    routine = Routine(level=level, name=" ".join(name.split()), note=note, continues=continues)
    _check(routine)
    routine.save()
    _write_row(routine, tuple(row))
    history.keep([routine.pk], by=by)
    return routine


@transaction.atomic
def describe_routine(
    *, routine: Routine, version: int, by: Person, name: str, note: str, continues: Routine | None
) -> None:
    """Another name, note or routine to go on from. Overtaken where `version` is no longer its version."""
    with history.changing(routine, version, by=by):
        routine.name, routine.note, routine.continues = " ".join(name.split()), note, continues
        _check(routine)
        routine.save(update_fields=["name", "note", "continues"])


@transaction.atomic
def change_row(*, routine: Routine, version: int, by: Person, change: Callable[[Row], Row]) -> Row:
    """The row that `change` makes of the standing one, written.

    Overtaken where `version` is no longer its version; what `change` raises is passed on, nothing is written.
    ValidationError where a figure is gone, or is of another dance.
    """
    with history.changing(routine, version, by=by):
        row = change(row_of(routine))
        _write_row(routine, row)
    return row


@transaction.atomic
def bring_back(*, routine: Routine, row: RoutineVersion, version: int, by: Person) -> tuple[str, ...]:
    """Make the routine what it was at `row`; gives sentences about what could not come back."""
    shot = row.snapshot
    wanted = [item and item["passage"] for item in shot["items"]]
    there = set(_usable(routine).filter(pk__in=[key for key in wanted if key]).values_list("pk", flat=True))
    lost = [
        f"{history.item_words(item['figure'], item['label'])} is gone."
        for item in shot["items"]
        if item and item["passage"] not in there
    ]
    below = shot["continues"]
    continues = Routine.objects.filter(pk=below["pk"]).first() if below else None
    if below and continues is None:
        lost.append(f"The routine {below['name']} is gone.")
    with history.changing(routine, version, by=by, back=history.origin_of(row)):
        routine.name, routine.note, routine.continues = shot["name"], shot["note"], continues
        _check(routine)
        routine.save(update_fields=["name", "note", "continues"])
        _write_row(routine, tuple(key for key in wanted if key is None or key in there))
    return tuple(dict.fromkeys(lost))


@transaction.atomic
def remove_routine(routine: Routine) -> None:
    """Delete it. ValidationError where a course dances it or another routine goes on from it."""
    stands = Routine.objects.select_for_update().get(pk=routine.pk)
    above = stands.continued_by.first()
    if above is not None:
        raise ValidationError(f"{above} goes on from it, so it stays.")
    for relation in Routine._meta.related_objects:
        model = relation.related_model
        if model in (RoutineItem, RoutineVersion, Routine):
            continue
        hanging = model._default_manager.filter(**{relation.field.name: stands}).first()
        if hanging is not None:
            raise ValidationError(f"{hanging} dances it, so it stays.")
    stands.delete()


def row_of(routine: Routine) -> Row:
    """One query."""
    return tuple(routine.items.order_by("position").values_list("passage", flat=True))


def _check(routine: Routine) -> None:
    """ValidationError, at its field where it has one."""
    if not routine.name:
        raise ValidationError({"name": "Give it a name."})
    same = Routine.objects.filter(level=routine.level_id, name=routine.name).exclude(pk=routine.pk)
    if same.exists():
        raise ValidationError({"name": f"{routine.level} has a routine called {routine.name} already."})
    seen, below = {routine.pk}, routine.continues
    while below is not None:
        if below.pk in seen and routine.pk is not None:
            raise ValidationError({"continues": "Then it would go on from itself."})
        seen.add(below.pk)
        below = below.continues


def _write_row(routine: Routine, row: Row) -> None:
    if len(row) > MOST_ITEMS:
        raise RowTooLong
    keys = {key for key in row if key is not None}
    usable = set(_usable(routine).filter(pk__in=keys).values_list("pk", flat=True))
    if keys - usable:
        raise ValidationError(_why_not(routine, keys - usable))
    routine.items.all().delete()
    RoutineItem.objects.bulk_create(
        (
            RoutineItem(routine=routine, position=place * ORDER_GAP, passage_id=key, is_corner=key is None)
            for place, key in enumerate(row, start=1)
        ),
        batch_size=_BATCH,
    )


def _usable(routine: Routine):  # type: ignore[no-untyped-def]  # a queryset of Passage
    return Passage.objects.filter(figure__dance=routine.level.dance_id)


def _why_not(routine: Routine, keys: set[int]) -> str:
    other = Passage.objects.filter(pk__in=keys).select_related("figure__dance").first()
    if other is None:
        return "That figure, or that way through it, is not there any more. Choose again."
    return f"{other.figure} is a figure of {other.figure.dance}, not of {routine.level.dance}."
