"""The evening as the live page counts it: milliseconds and whole minutes, nothing of the page."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from lessons.runsheet import RunSheet, SheetRow
from school import clock

_MILLISECONDS = 1000


def live_plan(sheet: RunSheet) -> dict[str, Any]:
    """What live.js counts by. starts: when the lesson begins, in milliseconds since 1970. shift: from the
    device's clock to the day the story is told on; 0 outside a demo. zone: in which times are said."""
    lesson = sheet.tonight.lesson
    zone = timezone.get_current_timezone()
    starts = dt.datetime.combine(lesson.date, lesson.start, tzinfo=zone)
    days = clock.today() - timezone.localdate()
    return {
        "lesson": lesson.pk,
        "starts": int(starts.timestamp() * _MILLISECONDS),
        "shift": int(days.total_seconds() * _MILLISECONDS),
        "zone": str(zone),
        "segments": [_segment(row) for row in sheet.rows],
    }


def _segment(row: SheetRow) -> dict[str, Any]:
    return {
        "title": row.figure.name if row.figure else row.segment.title,
        "kind": row.kind,
        "figure": row.figure.pk if row.figure else None,
        "minutes": row.minutes,
        "least": min(row.segment.least, row.minutes),
        "most": max(row.segment.most, row.minutes),
        "giveWay": row.segment.give_way,
    }
