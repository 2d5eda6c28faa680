"""The changes to one lesson's run-sheet as rows, and as what the sheet is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from curriculum.models import Piece
from lessons.models import LessonSession, SheetChange, SheetSegment
from lessons.rules.sheet_changes import OWN, Change


@dataclass(frozen=True)
class SheetChanges:
    """change: the row, None for a sheet as planned; segments: in the wanted order; music: (kind, figure's
    name or an own segment's title) -> the piece chosen for it, in words."""

    change: SheetChange | None
    segments: tuple[Change, ...]
    music: Mapping[tuple[str, str], str]

    @property
    def left_out(self) -> frozenset[tuple[str, str]]:
        """(kind, figure's name) of what somebody left out on purpose."""
        return frozenset(segment.place for segment in self.segments if segment.left_out)


def changes_of(lesson: LessonSession) -> SheetChanges:
    """What was changed of the lesson's sheet. One query."""
    rows = SheetSegment.objects.filter(change__lesson=lesson).order_by("position")
    rows = list(rows.select_related("figure", "change__changed_by", "piece__dance"))
    changes = tuple(map(_change, rows))
    music = {
        (change.kind, change.figure or change.title): piece_said(row.piece)
        for change, row in zip(changes, rows, strict=True)
        if row.piece
    }
    return SheetChanges(rows[0].change if rows else None, changes, music)


def piece_said(piece: Piece) -> str:
    """Its title, how quick it is, and what goes by before the first step. Reads its dance."""
    bars = piece.beats_per_minute / piece.dance.beats_per_bar
    said = f"{piece.title}, {bars:.0f} bars a minute ({piece.beats_per_minute:.0f} beats)"
    if not piece.intro_beats:
        return f"{said}. The dancing begins at once: count in before it."
    beats = "1 beat goes" if piece.intro_beats == 1 else f"{piece.intro_beats} beats go"
    return f"{said}. {beats} by before the dancing begins: count in on the last of them."


def _change(row: SheetSegment) -> Change:
    return Change(
        kind=row.kind or OWN,
        figure=row.figure.name if row.figure else "",
        title=row.title,
        minutes=row.minutes,
        left_out=row.left_out,
        music=row.piece_id,
    )
