"""What is asked of a figure's place, in the few words that its row has room for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lessons.models import LessonSession, PlanFigure
from lessons.planners.term_values import FigureToTeach
from lessons.problems import CourseProblem
from lessons.problems.wording import spoken_list
from lessons.rules.importance import importance_word

Stones = Sequence[tuple[object, str]]


def asked_of(
    row: PlanFigure, figure: FigureToTeach, problem: CourseProblem, stones: Stones
) -> tuple[str, ...]:
    """Everything that was set for the figure, milestones included; the bars stand in the cells. No query.

    `stones`: day and name of each milestone of the course.
    """
    return tuple(_asked(row, figure, problem, stones))


def _asked(row: PlanFigure, figure: FigureToTeach, problem: CourseProblem, stones: Stones) -> Iterator[str]:
    if not row.required:
        yield "needed for a milestone" if figure.required else "optional"
    if row.parts > 1:
        yield f"in {row.parts} parts"
    if row.importance > 1:
        yield f"matters {importance_word(row.importance)}"
    if row.pinned:
        yield f"kept in {_lesson(row.pinned, problem)}"
    if row.earliest:
        yield f"not before {_lesson(row.earliest, problem)}"
    if row.latest:
        yield f"begun by {_lesson(row.latest, problem)}"
    yield from _by_milestones(row, figure, problem, stones)
    for words, groups in (("with", problem.problem.together), ("never with", problem.problem.apart)):
        others = sorted({key for group in groups if figure.key in group for key in group} - {figure.key})
        if others:
            yield f"{words} {spoken_list(others)}"


def _by_milestones(
    row: PlanFigure, figure: FigureToTeach, problem: CourseProblem, stones: Stones
) -> Iterator[str]:
    """A milestone that asks for it sooner than the row itself does."""
    if figure.latest is None or (row.latest and problem.lessons[figure.latest].pk == row.latest_id):
        return
    for day, name in stones:
        last = sum(lesson.date <= day for lesson in problem.lessons) - figure.parts
        if last == figure.latest:
            yield f"by lesson {figure.latest + 1} for {name}"


def _lesson(lesson: LessonSession, problem: CourseProblem) -> str:
    found = (number for number, one in enumerate(problem.lessons, start=1) if one.pk == lesson.pk)
    number = next(found, None)
    return f"lesson {number}" if number else "a lesson that fell out"
