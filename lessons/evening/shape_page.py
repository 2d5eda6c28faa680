"""What is said of the school's lesson shapes: which kinds have one, and what their minutes add up to."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.evening.tonight import Tonight
from lessons.models import LessonKind, LessonShape
from lessons.problems.wording import spoken_list
from lessons.rules.shape_sums import LENGTHS, Sums, sums_of
from lessons.timetable.consequences import planned_there


def of_kind(tonight: Tonight) -> list[str]:
    """What a director should know before the lesson becomes another kind. One query."""
    shaped = set(LessonShape.objects.exclude(for_kind="").values_list("for_kind", flat=True))
    own = [str(kind.label) for kind in LessonKind if kind in shaped]
    return [
        f"With a shape of their own: {spoken_list(own)}. The others keep the course’s."
        if own
        else "No kind of lesson has a shape of its own yet; all keep the course’s.",
        "A revision, a practice evening, a showcase and a test take nothing new.",
        *planned_there(tonight),
        "The plan keeps what stands here and will show what no longer fits.",
    ]


@dataclass(frozen=True)
class ShapeCard:
    """A shape on the list: its segments, what they add up to, and where it is used."""

    shape: LessonShape
    sums: Sums
    lengths: tuple[tuple[int, str], ...]
    courses: tuple[str, ...]


def shape_cards() -> tuple[ShapeCard, ...]:
    """All shapes, the usual one first, then those of a course, then those for a kind. Three queries."""
    shapes = LessonShape.objects.prefetch_related("segments", "courses")
    return tuple(map(_card, shapes.order_by("-is_default", "for_kind", "name")))


def _card(shape: LessonShape) -> ShapeCard:
    sums = sums_of((row.least, row.ideal, row.most) for row in shape.segments.all())
    return ShapeCard(
        shape,
        sums,
        tuple((minutes, sums.against(minutes)) for minutes in LENGTHS),
        tuple(course.name for course in shape.courses.all()),
    )
