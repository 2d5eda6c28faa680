"""Lesson shapes written whole: a shape and its segments in one transaction."""

from __future__ import annotations

import logging
from collections.abc import Iterable

from django.db import transaction

from lessons.models import LessonShape, ShapeSegment
from school.models import Person

logger = logging.getLogger(__name__)


@transaction.atomic
def save_shape(
    *,
    shape: LessonShape,
    name: str,
    for_kind: str,
    is_default: bool,
    segments: Iterable[ShapeSegment],
    by: Person,
) -> LessonShape:
    """Write the shape with exactly these segments. The school has one default shape: another stops being it.

    Run-sheets follow at once; a plan that no longer fits says so when it is looked at.
    """
    if is_default:
        LessonShape.objects.filter(is_default=True).exclude(pk=shape.pk).update(is_default=False)
    shape.name, shape.for_kind, shape.is_default = name, for_kind, is_default
    shape.save()
    shape.segments.all().delete()
    segments = list(segments)
    for segment in segments:
        segment.shape = shape
    ShapeSegment.objects.bulk_create(segments)
    logger.info("%s wrote the lesson shape %s", by.pk, shape.pk)
    return shape
