"""The run-sheet as it stood when its lesson was written up: what was planned stays what was planned, whatever
the plan and earlier records say later."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from lessons.evening.tonight import Planned, Tonight
from lessons.models import LessonRecord, PlannedSheet
from lessons.planners.tonight import Segment
from lessons.run_sheet.rows import RunSheet, SheetRow


def keep_sheet(record: LessonRecord, sheet: RunSheet) -> None:
    """One query; the caller holds the transaction. Figures are kept by key: what is said of them follows."""
    said = {
        "planned": [
            {
                "figure": item.figure.pk,
                "how": item.how,
                "minutes": item.minutes,
                "part": item.part,
                "parts": item.parts,
            }
            for item in sheet.figures
        ],
        "rows": [_row_said(row) for row in sheet.rows],
    }
    PlannedSheet.objects.create(record=record, said=said)


def _row_said(row: SheetRow) -> dict[str, Any]:
    return {
        "starts": row.starts.isoformat("minutes"),
        "ends": row.ends.isoformat("minutes"),
        "offset": row.offset,
        "minutes": row.minutes,
        "kind": row.kind,
        "title": row.segment.title,
        "figure": row.figure.pk if row.figure else None,
        "says": list(row.says),
        "note": row.note,
    }


def sheet_as_kept(tonight: Tonight, said: Mapping[str, Any]) -> RunSheet:
    """No query. What was wanting that evening is past: the sheet gives no advice any more."""
    planned = {(item.how, item.figure.pk): item for item in tonight.planned}
    return RunSheet(tonight, tuple(_row(row, planned) for row in said["rows"]), reach=None)


def _row(said: Mapping[str, Any], planned: Mapping[tuple[str, int], Planned]) -> SheetRow:
    item = planned.get((said["kind"], said["figure"]))
    minutes, name = said["minutes"], item.key if item else None
    return SheetRow(
        starts=dt.time.fromisoformat(said["starts"]),
        ends=dt.time.fromisoformat(said["ends"]),
        offset=said["offset"],
        minutes=minutes,
        segment=Segment(said["kind"], said["title"], minutes, minutes, minutes, name),
        planned=item,
        says=tuple(said["says"]),
        note=said["note"],
    )
