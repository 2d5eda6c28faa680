"""How much room a lesson has for new figures and for those that come again."""

from __future__ import annotations

from lessons.models import LessonSession, LessonShape, SegmentKind

FILLED_BY_THE_PLAN = frozenset({SegmentKind.NEW, SegmentKind.REVIEW})


def teaching_minutes(lesson: LessonSession, shape: LessonShape | None) -> int:
    """The lesson's minutes less the least minutes of every segment the plan does not fill; never below 0.

    Without a shape the whole lesson is room. Reads the shape's segments: prefetch them for many lessons.
    """
    if shape is None:
        return lesson.minutes
    others = sum(row.least for row in shape.segments.all() if row.kind not in FILLED_BY_THE_PLAN)
    return max(0, lesson.minutes - others)


def shape_of(shape: LessonShape | None) -> LessonShape | None:
    """The course's own shape, or the school's default one, with its segments. Up to two queries."""
    shapes = LessonShape.objects.prefetch_related("segments")
    return shapes.get(pk=shape.pk) if shape else shapes.filter(is_default=True).first()
