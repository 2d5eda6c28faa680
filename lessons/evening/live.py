"""The evening as the live page counts it: milliseconds and whole minutes, nothing of the page."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from lessons.models import LessonSession
from lessons.run_sheet.fitted import RunSheet, SheetRow
from school import clock

_MILLISECONDS = 1000


def live_plan(sheet: RunSheet) -> dict[str, Any]:
    """What live.js counts by. starts: when the lesson begins, in milliseconds since 1970. shift: from the
    device's clock to the day the story is told on; 0 outside a demo. zone: in which times are said."""
    lesson = sheet.tonight.lesson
    return {
        "lesson": lesson.pk,
        "starts": in_milliseconds(lesson),
        "shift": shift_of_the_device(),
        "zone": timezone.get_current_timezone_name(),
        "segments": [_segment(row) for row in sheet.rows],
    }


def in_milliseconds(lesson: LessonSession) -> int:
    """When the lesson begins, since 1970."""
    return int(lesson.begins.timestamp() * _MILLISECONDS)


def shift_of_the_device() -> int:
    """Milliseconds from a device's clock to the day the story is told on; 0 outside a demo."""
    return int((clock.today() - timezone.localdate()).total_seconds() * _MILLISECONDS)


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
