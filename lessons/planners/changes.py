"""One demand of a term changed: a later date, more room, a pin let go. What a director could do about it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .term_demands import without_all
from .term_values import FigureToTeach, LessonSlot, Reason, TermProblem


@dataclass(frozen=True)
class Change:
    """A demand (named as a Reason names it) and what it becomes; a `value` of None: it is given up.

    Of the kind "required" several figures may give way at once: all of `keys`.

    `value` by kind: pinned, earliest, latest: the new lesson; need: 0, "in the same lesson or an earlier
    one"; room: how many minutes MORE each of `lessons` gets; most, least, least_minutes: the new number.
    """

    kind: str
    keys: tuple[str, ...]
    lessons: tuple[int, ...]
    value: int | None = None


def changed(problem: TermProblem, change: Change) -> TermProblem:
    """The problem with that one demand changed and everything else as it was."""
    if change.kind == "required":
        return without_all(problem, [Reason("required", (key,), (), "") for key in change.keys])
    if change.value is None:
        return without_all(problem, [Reason(change.kind, change.keys, change.lessons, "")])
    if change.keys:
        asked = change.keys[0]
        return replace(
            problem,
            figures=tuple(
                _changed_figure(figure, change, change.value) if figure.key == asked else figure
                for figure in problem.figures
            ),
        )
    return replace(
        problem,
        lessons=tuple(
            _changed_lesson(lesson, change, change.value) if lesson.index in change.lessons else lesson
            for lesson in problem.lessons
        ),
    )


def _changed_figure(figure: FigureToTeach, change: Change, value: int) -> FigureToTeach:
    match change.kind:
        case "pinned":
            return replace(figure, pinned=value)
        case "earliest":
            return replace(figure, earliest=value)
        case "latest":
            return replace(figure, latest=value)
        case "need":
            need = set(change.keys[1:])
            return replace(figure, needs=figure.needs - need, after=figure.after | need)
        case "least":
            return replace(figure, least_reviews=value)
    raise ValueError(f"{change.kind} of a figure does not become a number.")


def _changed_lesson(lesson: LessonSlot, change: Change, value: int) -> LessonSlot:
    match change.kind:
        case "room":
            return replace(lesson, minutes=lesson.minutes + value)
        case "most":
            return replace(lesson, max_new=value)
        case "least":
            return replace(lesson, min_new=value)
        case "least_minutes":
            return replace(lesson, min_minutes=value)
    raise ValueError(f"{change.kind} of a lesson does not become a number.")
