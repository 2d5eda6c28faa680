"""What a plan costs, aim by aim, counted from the plan itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from .term_history import Standing, dues_after
from .term_values import Review, TermProblem

# Not one of the five: how far courses stand from those they are kept in step with.
IN_STEP = "in_step"


def syllabus_neighbours(problem: TermProblem, state: Standing) -> Iterator[tuple[str, str]]:
    """Pairs that stand next to each other in the syllabus; a pair wholly in history costs nothing."""
    rows = sorted(problem.figures, key=lambda figure: (figure.order, state.place[figure.key]))
    for before, behind in pairwise(rows):
        if not (before.key in state.taught and behind.key in state.taught):
            yield before.key, behind.key


def previous_lessons(problem: TermProblem, state: Standing) -> dict[str, int]:
    """The earlier plan's lessons of the figures that history has not settled."""
    earlier = problem.previous or {}
    return {key: earlier[key] for key in state.place if key in earlier and key not in state.taught}


def last_part(problem: TermProblem, state: Standing, key: str, index: int) -> int:
    """The lesson with which a figure counts as introduced."""
    if state.settled(key):
        return index
    return index + problem.figures[state.place[key]].parts - 1


def owed_reviews(
    problem: TermProblem, state: Standing, introductions: Mapping[str, int]
) -> dict[str, tuple[int, ...]]:
    """key -> lessons in which a review of an introduced figure is still owed."""
    owed = {}
    for figure in problem.figures:
        if figure.key in state.dues:
            owed[figure.key] = state.dues[figure.key]
        elif figure.key in introductions:
            last = last_part(problem, state, figure.key, introductions[figure.key])
            owed[figure.key] = dues_after(problem, figure, last)
    return owed


def lesson_minutes(
    problem: TermProblem, state: Standing, introductions: Mapping[str, int], reviews: Sequence[Review]
) -> tuple[int, ...]:
    """Minutes of introductions and reviews in each lesson; 0 in history, nothing outside the term."""
    load = [0] * len(problem.lessons)
    for minutes in state.finishing.values():
        load[state.first] += minutes
    for figure in state.to_come:
        if figure.key in introductions:
            for lesson, minutes in enumerate(figure.part_minutes(), start=introductions[figure.key]):
                if lesson < len(load):
                    load[lesson] += minutes
    for review in reviews:
        load[review.index] += problem.figures[state.place[review.key]].review_minutes
    return tuple(load)


def measure(
    problem: TermProblem, state: Standing, introductions: Mapping[str, int], reviews: Sequence[Review]
) -> dict[str, int]:
    """The value of each of the five aims."""
    left_out = sum(f.importance for f in state.to_come if f.key not in introductions)
    previous = previous_lessons(problem, state)
    moved = sum(introductions.get(key) != index for key, index in previous.items())
    owed = {(key, due) for key, dues in owed_reviews(problem, state, introductions).items() for due in dues}
    unplaced = len(owed - {(review.key, review.due) for review in reviews})
    late = sum(abs(review.index - review.due) for review in reviews) + unplaced * (problem.review_slack + 1)
    load = lesson_minutes(problem, state, introductions, reviews)
    reverse = sum(
        introductions[before] > introductions[behind]
        for before, behind in syllabus_neighbours(problem, state)
        if before in introductions and behind in introductions
    )
    peak = max(load[state.first :], default=0)
    return {"left_out": left_out, "moved": moved, "late_reviews": late, "peak": peak, "order": reverse}


def out_of_step(states: Sequence[Standing], introductions: Sequence[Mapping[str, int]]) -> int:
    """The lessons by which two courses differ, over the figures both introduce and one has still to come."""
    one, other = introductions
    to_come = {figure.key for state in states for figure in state.to_come}
    return sum(abs(at - other[key]) for key, at in one.items() if key in other and key in to_come)
