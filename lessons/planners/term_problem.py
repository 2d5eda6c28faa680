"""Is this a question at all? Every fault is one sentence that names the figure or the lesson."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from .term_values import AIMS, FigureToTeach, LessonSlot, ProblemError, TermProblem


def require_sound(problem: TermProblem) -> None:
    """Raise ProblemError unless the problem can be read; say nothing about whether it can be met."""
    keys = _keys_once(problem)
    for figure in problem.figures:
        _require_sound_figure(figure, problem)
    for place, lesson in enumerate(problem.lessons):
        _require_sound_lesson(lesson, place)
    _require_history_first(problem.lessons)
    _require_known_names(problem, keys)
    _require_rising("the term", problem.review_after)
    if problem.review_slack < 0:
        raise ProblemError("The slack of reviews is less than 0.")
    _require_aims(problem.ranks)
    circle = find_circle(problem)
    if circle:
        raise ProblemError("A circle of prerequisites: " + ", which needs ".join(_needing(circle)) + ".")


def all_ranks(problem: TermProblem) -> tuple[str, ...]:
    """All five aims: those the problem ranks, then the rest as they usually stand."""
    return problem.ranks + tuple(aim for aim in AIMS if aim not in problem.ranks)


def find_circle(problem: TermProblem) -> tuple[str, ...]:
    """One circle among the prerequisites, from a figure back to itself; empty if there is none."""
    place = {figure.key: index for index, figure in enumerate(problem.figures)}
    needs = {
        figure.key: sorted((figure.needs | figure.after) & place.keys(), key=place.__getitem__)
        for figure in problem.figures
    }
    finished: set[str] = set()
    for start in needs:
        trail: list[str] = []
        stack: list[tuple[str, int]] = [(start, 0)] if start not in finished else []
        while stack:
            key, child = stack.pop()
            if child == 0:
                trail.append(key)
            if child == len(needs[key]):
                finished.add(trail.pop())
                continue
            stack.append((key, child + 1))
            need = needs[key][child]
            if need in trail:
                return (*trail[trail.index(need) :], need)
            if need not in finished:
                stack.append((need, 0))
    return ()


def _needing(circle: tuple[str, ...]) -> list[str]:
    first, second, *rest = (str(key) for key in circle)
    return [f"{first} needs {second}", *rest]


def _keys_once(problem: TermProblem) -> set[str]:
    seen: set[str] = set()
    for figure in problem.figures:
        if figure.key in seen:
            raise ProblemError(f"{figure.key} stands twice among the figures to teach.")
        if figure.key in problem.known:
            raise ProblemError(f"{figure.key} is both known and to be taught.")
        seen.add(figure.key)
    return seen


def _require_sound_figure(figure: FigureToTeach, problem: TermProblem) -> None:
    name = figure.key
    if figure.minutes < 0 or figure.review_minutes < 0:
        raise ProblemError(f"{name} has negative minutes.")
    if figure.parts < 1:
        raise ProblemError(f"{name} has {figure.parts} parts; it needs at least 1.")
    if figure.parts > figure.minutes:
        raise ProblemError(f"{name} has {figure.parts} parts but only {figure.minutes} minutes.")
    if figure.importance < 0:
        raise ProblemError(f"{name} has an importance of less than 0.")
    if figure.least_reviews < 0:
        raise ProblemError(f"{name} asks for fewer than 0 reviews.")
    if figure.pinned is not None and not 0 <= figure.pinned < len(problem.lessons):
        raise ProblemError(f"{name} is kept in lesson {figure.pinned + 1}, which is outside the term.")
    if figure.review_after is not None:
        _require_rising(name, figure.review_after)


def _require_rising(name: str, distances: tuple[int, ...]) -> None:
    if any(later <= earlier for earlier, later in zip((0, *distances), distances, strict=False)):
        raise ProblemError(f"The reviews of {name} must lie after a positive, rising number of lessons.")


def _require_sound_lesson(lesson: LessonSlot, place: int) -> None:
    if lesson.index != place:
        raise ProblemError(f"Lesson {place + 1} has index {lesson.index}; it must be its place, {place}.")
    if lesson.minutes < 0 or lesson.min_minutes < 0:
        raise ProblemError(f"Lesson {place + 1} has negative minutes.")
    if lesson.max_new < 0 or lesson.min_new < 0:
        raise ProblemError(f"Lesson {place + 1} asks for a negative number of new figures.")


def _require_history_first(lessons: tuple[LessonSlot, ...]) -> None:
    for earlier, later in pairwise(lessons):
        if earlier.taught is None and later.taught is not None:
            raise ProblemError(
                f"Lesson {later.index + 1} has been taught but lesson {earlier.index + 1} before it has not."
            )


def _require_known_names(problem: TermProblem, keys: set[str]) -> None:
    named = keys | problem.known
    for figure in problem.figures:
        _require_all(figure.needs | figure.after, named, f"{figure.key} needs")
    for lesson in problem.lessons:
        recorded = (lesson.taught or frozenset()) | lesson.reviewed
        _require_all(recorded, named, f"Lesson {lesson.index + 1} names")
    for group in problem.together:
        _require_all(group, named, "A set to be introduced together names")
    for group in problem.apart:
        _require_all(group, named, "A set to be kept apart names")
    _require_all(problem.previous or (), named, "The previous plan names")
    _require_all(problem.unfinished, keys, "What is to be finished names")
    _require_minutes_owed(problem.unfinished)


def _require_minutes_owed(unfinished: Mapping[str, int]) -> None:
    for key, minutes in unfinished.items():
        if minutes < 0:
            raise ProblemError(f"{key} has negative minutes left to finish.")


def _require_all(asked: Iterable[str], named: Iterable[str], who: str) -> None:
    strangers = sorted(str(key) for key in set(asked) - set(named))
    if strangers:
        raise ProblemError(f"{who} {strangers[0]}, which is no figure of this problem.")


def _require_aims(ranks: tuple[str, ...]) -> None:
    for place, aim in enumerate(ranks):
        if aim not in AIMS:
            raise ProblemError(f"{aim} is not an aim; the aims are {', '.join(AIMS)}.")
        if aim in ranks[:place]:
            raise ProblemError(f"The aim {aim} is ranked twice.")
