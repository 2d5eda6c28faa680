"""A figure's history for its page: who changed what and when, the newest first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from curriculum.models import Figure, FigureVersion, FloorUse
from curriculum.snapshot_words import Change, changes_between

ENTRIES_A_PAGE = 30


@dataclass(frozen=True)
class Entry:
    """One version. who: "" where it is not known. changes: against the version kept before it; is_first:
    there is none. stands: it is the figure as it is now."""

    version: int
    who: str
    at: dt.datetime
    changes: tuple[Change, ...]
    is_first: bool
    stands: bool


@dataclass(frozen=True)
class HistoryPage:
    """older: the version from which the next page goes on, None on the last."""

    entries: tuple[Entry, ...]
    older: int | None


def history_of(figure: Figure, *, before: int | None = None) -> HistoryPage:
    """The newest versions, or those older than `before`. One query."""
    versions = figure.versions.select_related("by").order_by("-version")
    if before is not None:
        versions = versions.filter(version__lt=before)
    # One more than are shown: the last one is compared with it.
    rows = list(versions[: ENTRIES_A_PAGE + 1])
    entries = _entries(figure, rows)
    older = entries[ENTRIES_A_PAGE - 1].version if len(rows) > ENTRIES_A_PAGE else None
    return HistoryPage(entries[:ENTRIES_A_PAGE], older)


def changes_since(figure: Figure, version: int) -> tuple[Entry, ...]:
    """What was changed after `version`, the newest first. One query."""
    rows = figure.versions.select_related("by").filter(version__gte=version).order_by("-version")
    return tuple(entry for entry in _entries(figure, list(rows)) if entry.version > version)


def _entries(figure: Figure, rows: Sequence[FigureVersion]) -> tuple[Entry, ...]:
    slot = figure.dance.floor_use == FloorUse.SLOT
    entries = []
    for row, older in pairwise([*rows, None]):
        changes = () if older is None else changes_between(older.snapshot, row.snapshot, slot=slot)
        stands = row.version == figure.version
        who = row.by.name if row.by else ""
        entries.append(Entry(row.version, who, row.at, changes, older is None, stands))
    return tuple(entries)
