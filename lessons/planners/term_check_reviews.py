"""The reviews of a plan, checked figure by figure: owed, inside their windows, in order, enough of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from .term_values import FigureToTeach, Finding, Review, TermProblem


def review_minutes_by_lesson(
    figures: Mapping[str, FigureToTeach], reviews: Sequence[Review]
) -> dict[int, int]:
    """Minutes of reviews in each lesson; reviews of unknown figures weigh nothing."""
    load: dict[int, int] = {}
    for review in reviews:
        if review.key in figures:
            load[review.index] = load.get(review.index, 0) + figures[review.key].review_minutes
    return load


def review_findings(
    problem: TermProblem,
    ends: Mapping[str, int],
    past: Mapping[str, int],
    first: int,
    reviews: Sequence[Review],
) -> Iterator[Finding]:
    """`ends`: key -> lesson of the last part; `past`: what was taught in the lessons before `first`."""
    by_key: dict[str, list[Review]] = {}
    for review in reviews:
        by_key.setdefault(review.key, []).append(review)
    figures = {figure.key: figure for figure in problem.figures}
    for key, placed in by_key.items():
        lessons = tuple(review.index for review in placed)
        if key in problem.known:
            yield Finding("review", (key,), lessons, f"{key} is known, so no review of it is owed.")
        elif key not in figures:
            yield Finding("unknown", (key,), lessons, f"{key} is no figure of this term.")
        elif key not in ends:
            yield Finding("review", (key,), lessons, f"{key} comes again, but is never new.")
    for key, end in ends.items():
        owed = _owed(problem, figures[key], past.get(key), end, first)
        placed = by_key.get(key, [])
        for review in placed:
            yield from _one_review(problem, review, owed, end, first)
        yield from _in_order(key, placed)
        least = min(figures[key].least_reviews, len(owed))
        if len(placed) < least:
            sentence = f"{key} is to be reviewed at least {_times(least)}, but stands {_times(len(placed))}."
            yield Finding("least", (key,), (), sentence)


def _owed(problem: TermProblem, figure: FigureToTeach, taught: int | None, end: int, first: int) -> list[int]:
    """Due lessons still open: each past review strikes out the earliest it can, the rest may run out."""
    if figure.review_minutes == 0:
        return []
    distances = figure.review_after if figure.review_after is not None else problem.review_after
    dues = [end + distance for distance in distances if end + distance <= len(problem.lessons) - 1]
    if taught is None:
        return dues
    for at in range(taught + 1, first):
        if figure.key in problem.lessons[at].reviewed:
            fitting = [d for d in dues if at in range(d - problem.review_slack, d + problem.review_slack + 1)]
            if fitting:
                dues.remove(min(fitting))
    return [due for due in dues if any(lesson >= first for lesson in _reach_of(problem, due))]


def _reach_of(problem: TermProblem, due: int) -> range:
    return range(due - problem.review_slack, due + problem.review_slack + 1)


def _one_review(
    problem: TermProblem, review: Review, owed: list[int], end: int, first: int
) -> Iterator[Finding]:
    key, at = review.key, review.index
    what = f"{key} comes again in lesson {at + 1}"
    if not 0 <= at < len(problem.lessons):
        yield Finding("term", (key,), (at,), f"{what}, outside the term.")
    elif at < first:
        yield Finding("history", (key,), (at,), f"{what}, which is over.")
    if at <= end:
        sentence = f"{what}, but is new only in lesson {end + 1}."
        yield Finding("review", (key,), (at, end), sentence)
    if review.due not in owed:
        sentence = f"{what}, where it need not come again: take that one out."
        yield Finding("review", (key,), (at,), sentence)
    elif at not in _reach_of(problem, review.due):
        sentence = f"{what}, too far from lesson {review.due + 1}, where it is due again."
        yield Finding("review", (key,), (at, review.due), sentence)


def _in_order(key: str, placed: list[Review]) -> Iterator[Finding]:
    by_due = sorted(placed, key=lambda review: (review.due, review.index))
    for earlier, later in pairwise(by_due):
        lessons = (earlier.index, later.index)
        if earlier.due == later.due:
            sentence = (
                f"{key} comes again in lessons {lessons[0] + 1} and {lessons[1] + 1}: one of them is enough."
            )
            yield Finding("review", (key,), lessons, sentence)
        elif later.index == earlier.index:
            sentence = f"{key} comes again twice in lesson {lessons[0] + 1}."
            yield Finding("review", (key,), lessons[:1], sentence)
        elif later.index < earlier.index:
            sentence = (
                f"{key} comes again in lessons {lessons[1] + 1} and {lessons[0] + 1} in the wrong order: "
                "set its Again anew."
            )
            yield Finding("review", (key,), lessons, sentence)


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")
