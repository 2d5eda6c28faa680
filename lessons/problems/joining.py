"""People may join a course until a lesson the director names: what is needed later comes again in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from lessons.planners.term_values import FigureToTeach, TermProblem
from lessons.problems.rows import CourseRows


def joining_lesson(rows: CourseRows) -> int | None:
    """Index of the last lesson in which somebody may be new, if it is to come and is not the first."""
    until = rows.course.newcomers_until
    if until is None:
        return None
    last = sum(lesson.date <= until for lesson in rows.lessons) - 1
    return last if last >= max(1, rows.first_to_come) else None


def needed_later(problem: TermProblem, joining: int, introductions: Mapping[str, int]) -> dict[str, int]:
    """Key -> lesson of its last part, of figures new before lesson `joining` that something new in it, or
    after it, needs. What stands nowhere yet counts as coming later."""
    wanted = {
        need
        for figure in problem.figures
        if introductions.get(figure.key, joining) >= joining
        for need in figure.needs | figure.after
    }
    taught = {key for lesson in problem.lessons for key in lesson.taught or ()}
    found = {}
    for figure in problem.figures:
        if figure.key not in wanted or figure.key not in introductions or not figure.review_minutes:
            continue
        settled = figure.key in taught or figure.key in problem.unfinished
        last = introductions[figure.key] + (0 if settled else figure.parts - 1)
        if last < joining:
            found[figure.key] = last
    return found


def once_more(problem: TermProblem, joining: int | None, introductions: Mapping[str, int]) -> TermProblem:
    """The problem in which what newcomers need later is due in lesson `joining` as well, with the
    introductions where they are."""
    if joining is None:
        return problem
    needed = needed_later(problem, joining, introductions)
    return replace(
        problem,
        figures=tuple(
            _due_in(problem, figure, joining - needed[figure.key]) if figure.key in needed else figure
            for figure in problem.figures
        ),
    )


def _due_in(problem: TermProblem, figure: FigureToTeach, distance: int) -> FigureToTeach:
    own = problem.review_after if figure.review_after is None else figure.review_after
    return figure if distance in own else replace(figure, review_after=tuple(sorted({*own, distance})))
