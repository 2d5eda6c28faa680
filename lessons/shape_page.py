"""What is said of the school's lesson shapes: which kinds have one, and what their minutes add up to."""

from __future__ import annotations

from lessons.consequences import planned_there
from lessons.evening import Tonight
from lessons.models import LessonShape
from lessons.problems.wording import spoken_list


def of_kind(tonight: Tonight) -> list[str]:
    """What a director should know before the lesson becomes another kind. One query."""
    shapes = LessonShape.objects.exclude(for_kind="")
    own = [f"{shape.get_for_kind_display()} ({shape.name})" for shape in shapes]
    return [
        f"These kinds have a shape of their own: {spoken_list(own)}. The others keep the course’s."
        if own
        else "No kind of lesson has a shape of its own yet; all keep the course’s.",
        "A revision, a practice evening, a showcase and a test take nothing new.",
        *planned_there(tonight),
        "The plan keeps what stands here and will show what no longer fits.",
    ]
