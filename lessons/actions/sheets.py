"""Changing one lesson's run-sheet, and taking the changes back."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from lessons.actions.errors import Overtaken
from lessons.models import LessonRecord, LessonSession, SheetChange, SheetSegment
from lessons.rules.sheet_changes import OWN, Change
from school.models import Person

logger = logging.getLogger(__name__)

_SOMEBODY_CHANGED = (
    "Somebody changed this sheet while you had it open. Nothing of yours is saved yet: it stands below as "
    "you typed it. Press again to put yours in place of theirs."
)


def change_sheet(
    *, lesson: LessonSession, version: int, segments: Sequence[Change], figures: Mapping[str, int], by: Person
) -> None:
    """Write the whole sheet as it is wanted; no segments: as planned again.

    `version`: of the changes the writer was looking at, 0 for none yet. `figures`: name -> key. Raises
    Overtaken where somebody wrote in between; ValidationError for a lesson that is cancelled or written up.
    """
    refuse_closed(lesson)
    try:
        with transaction.atomic():
            change = _take_change(lesson, version, by)
            change.segments.all().delete()
            SheetSegment.objects.bulk_create(
                _row(change, position, segment, figures) for position, segment in enumerate(segments)
            )
    except IntegrityError:
        raise Overtaken(_SOMEBODY_CHANGED) from None
    logger.info("%s changed the sheet of lesson %s", by.pk, lesson.pk)


def refuse_closed(lesson: LessonSession) -> None:
    """Raises ValidationError for a lesson whose sheet can no longer be changed."""
    if lesson.is_cancelled:
        raise ValidationError("This lesson was cancelled; it has no sheet.")
    if LessonRecord.objects.filter(lesson=lesson).exists():
        raise ValidationError("This lesson is written up: its sheet stays as it was that evening.")


def _take_change(lesson: LessonSession, version: int, by: Person) -> SheetChange:
    """The row in its next version, ours alone until the transaction ends."""
    if version == 0:
        # A second writer meets the constraint: one lesson, one row.
        return SheetChange.objects.create(lesson=lesson, changed_by=by)
    ours = SheetChange.objects.filter(lesson=lesson, version=version)
    if not ours.update(version=F("version") + 1, changed_by=by, changed_at=timezone.now()):
        raise Overtaken(_SOMEBODY_CHANGED)
    return SheetChange.objects.get(lesson=lesson)


def _row(change: SheetChange, position: int, segment: Change, figures: Mapping[str, int]) -> SheetSegment:
    own = segment.kind == OWN
    return SheetSegment(
        change=change,
        position=position,
        kind="" if own else segment.kind,
        figure_id=figures[segment.figure] if segment.figure else None,
        title=segment.title if own else "",
        minutes=segment.minutes,
        left_out=segment.left_out,
        piece_id=segment.music,
    )
