"""The history of a figure or a routine for its page: who changed what and when, the newest first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from curriculum import routine_history, snapshot_words
from curriculum.models import Figure, FigureVersion, FloorUse, Routine, RoutineVersion
from curriculum.who_was_first import who_was_first
from school.models import Person

ENTRIES_A_PAGE = 30


@dataclass(frozen=True)
class Entry:
    """One version. who: "" where it is not known; by: their key. changes: against the version kept before it,
    a figure's as `snapshot_words.Change`, a routine's as sentences; is_first: there is none. stands: it is as
    it is now."""

    version: int
    who: str
    at: dt.datetime
    changes: tuple[Any, ...]
    is_first: bool
    stands: bool
    by: int | None = None


@dataclass(frozen=True)
class HistoryPage:
    """older: the version from which the next page goes on, None on the last."""

    entries: tuple[Entry, ...]
    older: int | None


def history_of(kept: Figure | Routine, *, before: int | None = None) -> HistoryPage:
    """The newest versions, or those older than `before`. One query."""
    versions = kept.versions.select_related("by").order_by("-version")
    if before is not None:
        versions = versions.filter(version__lt=before)
    # One more than are shown: the last one is compared with it.
    entries = _entries(kept, list(versions[: ENTRIES_A_PAGE + 1]))
    older = entries[ENTRIES_A_PAGE - 1].version if len(entries) > ENTRIES_A_PAGE else None
    return HistoryPage(entries[:ENTRIES_A_PAGE], older)


def changes_since(kept: Figure | Routine, version: int) -> tuple[Entry, ...]:
    """What was changed after `version`, the newest first. One query."""
    rows = kept.versions.select_related("by").filter(version__gte=version).order_by("-version")
    return tuple(entry for entry in _entries(kept, list(rows)) if entry.version > version)


def who_was_first_since(kept: Figure | Routine, version: int, reader: Person) -> str:
    """Who changed it after `version`, to whoever comes second. One query."""
    writers = kept.versions.filter(version__gt=version).values_list("by", flat=True)
    what = "this routine" if isinstance(kept, Routine) else "this figure"
    return who_was_first(what, list(writers), reader)


def _entries(
    kept: Figure | Routine, rows: Sequence[FigureVersion] | Sequence[RoutineVersion]
) -> tuple[Entry, ...]:
    return tuple(
        Entry(
            version=row.version,
            who=row.by.name if row.by else "",
            at=row.at,
            changes=() if older is None else _changes(kept, older.snapshot, row.snapshot),
            is_first=older is None,
            stands=row.version == kept.version,
            by=row.by_id,
        )
        for row, older in pairwise([*rows, None])
        if row is not None
    )


def _changes(kept: Figure | Routine, before: dict[str, Any], after: dict[str, Any]) -> tuple[Any, ...]:
    if isinstance(kept, Routine):
        return routine_history.changes_between(before, after)
    return snapshot_words.changes_between(before, after, slot=kept.dance.floor_use == FloorUse.SLOT)
