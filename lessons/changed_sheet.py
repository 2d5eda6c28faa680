"""The changes to one lesson's run-sheet as rows, and as what the sheet is made from."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.models import LessonSession, SheetChange, SheetSegment
from lessons.rules.sheet_changes import OWN, Change


@dataclass(frozen=True)
class SheetChanges:
    """change: the row, None for a sheet as planned; segments: in the wanted order."""

    change: SheetChange | None
    segments: tuple[Change, ...]

    @property
    def left_out(self) -> frozenset[tuple[str, str]]:
        """(kind, figure's name) of what somebody left out on purpose."""
        return frozenset(segment.place for segment in self.segments if segment.left_out)


def changes_of(lesson: LessonSession) -> SheetChanges:
    """What was changed of the lesson's sheet. One query."""
    rows = SheetSegment.objects.filter(change__lesson=lesson).select_related("figure", "change__changed_by")
    rows = list(rows.order_by("position"))
    return SheetChanges(rows[0].change if rows else None, tuple(map(_change, rows)))


def _change(row: SheetSegment) -> Change:
    return Change(
        kind=row.kind or OWN,
        figure=row.figure.name if row.figure else "",
        title=row.title,
        minutes=row.minutes,
        left_out=row.left_out,
    )
