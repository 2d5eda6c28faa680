"""How much room a lesson has for new figures and for those that come again."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from lessons.models import LessonKind, LessonSession, LessonShape, SegmentKind

FILLED_BY_THE_PLAN = frozenset({SegmentKind.NEW, SegmentKind.REVIEW})


def teaching_minutes(lesson: LessonSession, shape: LessonShape | None) -> int:
    """The lesson's minutes less the least minutes of every segment the plan does not fill; never below 0.

    Without a shape the whole lesson is room. Reads the shape's segments: prefetch them for many lessons.
    """
    if shape is None:
        return lesson.minutes
    others = sum(row.least for row in shape.segments.all() if row.kind not in FILLED_BY_THE_PLAN)
    return max(0, lesson.minutes - others)


def shape_for(kind: str, own: int | None, shapes: Iterable[LessonShape]) -> LessonShape | None:
    """Of the shapes: the school's for this kind of lesson, else the course's own (pk), else the default."""
    shapes = list(shapes)
    special = kind != LessonKind.ORDINARY
    return (
        next((shape for shape in shapes if special and shape.for_kind == kind), None)
        or next((shape for shape in shapes if shape.pk == own), None)
        or next((shape for shape in shapes if shape.is_default), None)
    )


def shape_of(lesson: LessonSession) -> LessonShape | None:
    """The shape of this lesson, with its segments. Two queries."""
    own = lesson.course.shape_id
    wanted = Q(is_default=True) | Q(pk=own) | Q(for_kind=lesson.kind)
    return shape_for(lesson.kind, own, LessonShape.objects.filter(wanted).prefetch_related("segments"))
