"""What a record said before it was changed: kept as plain values, read back with names of today."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from lessons.models import LessonRecord, Outcome, RecordVersion, Wellness
from lessons.people.first_names import names_on_lists
from school.models import Person


@dataclass(frozen=True)
class PastFigure:
    """outcome, went: in the words of the page; `went` empty where nobody said."""

    name: str
    outcome: str
    went: str
    minutes_owed: int | None


@dataclass(frozen=True)
class PastRecord:
    """One earlier version. by: a name, empty for somebody who has left; present: names."""

    version: int
    by: str
    at: dt.datetime
    figures: tuple[PastFigure, ...]
    present: tuple[str, ...]
    unnamed_guests: int
    note: str


def keep_as_it_stands(record: LessonRecord) -> None:
    """Keep what the record says now, before it is replaced. Three queries; the caller holds the transaction.

    People are kept by key alone: a name that was put right, or taken out, shall not live on in here.
    """
    figures = record.figures.select_related("figure__level")
    said = {
        "figures": [
            {
                "figure": row.figure_id,
                "name": row.figure.name,
                "outcome": row.outcome,
                "went": row.went,
                "minutes_owed": row.minutes_owed,
            }
            for row in figures
        ],
        "present": [{"person": row.person_id, "role": row.role} for row in record.attendance.all()],
        "unnamed_guests": record.unnamed_guests,
        "note": record.note,
    }
    RecordVersion.objects.create(
        record=record, version=record.version, by_id=record.recorded_by_id, at=record.recorded_at, said=said
    )


def past_versions(record: LessonRecord) -> tuple[PastRecord, ...]:
    """Earlier versions, newest first. Two queries, whatever their number."""
    rows = list(record.versions.select_related("by"))
    keys = {who["person"] for row in rows for who in row.said["present"]}
    names = names_on_lists(Person.objects.filter(pk__in=keys)) if keys else {}
    return tuple(_past(row, names) for row in rows)


def _past(row: RecordVersion, names: dict[int, str]) -> PastRecord:
    said: dict[str, Any] = row.said
    there = (names.get(who["person"], "somebody who has left") for who in said["present"])
    return PastRecord(
        version=row.version,
        by=str(row.by) if row.by else "",
        at=row.at,
        figures=tuple(
            PastFigure(
                name=figure["name"],
                outcome=Outcome(figure["outcome"]).label,
                went=Wellness(figure["went"]).label if figure["went"] else "",
                minutes_owed=figure["minutes_owed"],
            )
            for figure in said["figures"]
        ),
        present=tuple(sorted(there)),
        unnamed_guests=said["unnamed_guests"],
        note=said["note"],
    )
