"""The history of routines: what each was at every version, what a change changed, and which one undo brings
back. Every action that changes a routine writes it here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from difflib import SequenceMatcher
from typing import Any

from django.db.models import F, Prefetch

from curriculum.models import Routine, RoutineItem, RoutineVersion
from curriculum.who_was_first import who_was_first
from school.clock import now
from school.errors import Overtaken
from school.models import Person

Snapshot = dict[str, Any]
CORNER_SAID = "a corner"
_BATCH = 200


@contextmanager
def changing(routine: Routine, version: int, *, by: Person | None, back: int | None = None) -> Iterator[None]:
    """What is changed inside becomes the routine's next version. Belongs inside a transaction.

    Raises Overtaken where `version` is no longer its version. `back`: the version that is brought back.
    """
    keep([routine.pk], by=None)
    if not Routine.objects.filter(pk=routine.pk, version=version).update(version=F("version") + 1):
        later = routine.versions.filter(version__gt=version).values_list("by", flat=True)
        raise Overtaken(who_was_first(routine.name, list(later), by))
    routine.version = version + 1
    yield
    keep([routine.pk], by=by, back=back)


def keep(routines: Iterable[int], *, by: Person | None, back: int | None = None) -> None:
    """Write these routines into their histories as they stand, unless their version stands there already.

    Three queries for any number of routines.
    """
    at, shots = now(), snapshots_of(routines)
    RoutineVersion.objects.bulk_create(
        (
            RoutineVersion(routine_id=pk, version=version, by=by, at=at, snapshot=shot, brings_back=back)
            for pk, (version, shot) in shots.items()
        ),
        batch_size=_BATCH,
        ignore_conflicts=True,
    )


def snapshots_of(routines: Iterable[int]) -> dict[int, tuple[int, Snapshot]]:
    """Routine (pk) -> its version, and its name, note, what it goes on from and its row; passages with their
    key and their names. Two queries."""
    rows = Routine.objects.filter(pk__in=list(routines)).select_related("continues")
    items = RoutineItem.objects.select_related("passage__figure").order_by("position")
    return {row.pk: (row.version, _snapshot(row)) for row in rows.prefetch_related(Prefetch("items", items))}


def _snapshot(row: Routine) -> Snapshot:
    below = row.continues
    return {
        "name": row.name,
        "note": row.note,
        "continues": {"pk": below.pk, "name": below.name} if below else None,
        "items": [
            {"passage": item.passage_id, "figure": item.passage.figure.name, "label": item.passage.label}
            if item.passage
            else None
            for item in row.items.all()
        ],
    }


def undone_by(routine: Routine) -> RoutineVersion | None:
    """The version that undo brings back: each further undo goes one change further. At most two queries."""
    stands = routine.versions.filter(version=routine.version).first()
    if stands is None:
        return None
    return routine.versions.filter(version__lt=origin_of(stands)).order_by("-version").first()


def origin_of(row: RoutineVersion) -> int:
    """The version whose state this one is."""
    return row.brings_back or row.version


def changes_between(before: Snapshot, after: Snapshot) -> tuple[str, ...]:
    """What one change did, in sentences."""
    said = []
    if before["name"] != after["name"]:
        said.append(f"It is called {after['name']} now, no longer {before['name']}.")
    if before["note"] != after["note"]:
        said.append("Its note was changed.")
    if before["continues"] != after["continues"]:
        below = after["continues"]
        said.append(f"It goes on from {below['name']}." if below else "It goes on from no other routine.")
    return (*said, *_changes_of_row(_said(before), _said(after)))


def _said(snapshot: Snapshot) -> list[str]:
    return [item_words(item["figure"], item["label"]) if item else CORNER_SAID for item in snapshot["items"]]


def item_words(figure: str, label: str) -> str:
    return f"{figure} ({label})" if label else figure


def _changes_of_row(before: list[str], after: list[str]) -> Iterator[str]:
    gone: list[tuple[int, str]] = []
    come: list[tuple[int, str]] = []
    swapped: list[str] = []
    matcher = SequenceMatcher(a=before, b=after, autojunk=False)
    for kind, low, high, new_low, new_high in matcher.get_opcodes():
        if kind == "replace" and high - low == new_high - new_low == 1:
            swapped.append(f"{after[new_low]} stands at place {new_low + 1} instead of {before[low]}.")
        elif kind != "equal":
            gone += [(place + 1, before[place]) for place in range(low, high)]
            come += [(place + 1, after[place]) for place in range(new_low, new_high)]
    yield from swapped
    if len(gone) == len(come) == 1 and gone[0][1] == come[0][1]:
        yield f"{gone[0][1]} moved from place {gone[0][0]} to place {come[0][0]}."
        return
    yield from (f"{name} was taken out of place {place}." for place, name in gone)
    yield from (f"{name} was put in at place {place}." for place, name in come)
