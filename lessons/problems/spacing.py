"""A figure's own distances of review, from what the records say of how it went."""

from __future__ import annotations

from itertools import pairwise
from statistics import median

from lessons.planners.review import UNSAID, review_after
from lessons.problems.history import History
from lessons.problems.rows import CourseRows

WEEK = 7


def distances(rows: CourseRows, history: History) -> dict[int, tuple[int, ...]]:
    """Figure (pk) -> lessons after its introduction in which it comes again, where a record says how it went.

    A figure to be finished later is introduced in the first lesson to come; how it went so far counts.
    """
    went = _words(rows)
    new_in: dict[int, int] = {}
    for index, taught in enumerate(history.taught):
        for figure in taught:
            new_in.setdefault(figure, index)
    found = {}
    for figure, index in new_in.items():
        words = {at: word for at, word in went.get(figure, {}).items() if at >= index}
        if any(words.values()):
            again = [(at - index, word) for at, word in sorted(words.items()) if at > index]
            found[figure] = review_after(
                words.get(index, UNSAID),
                again,
                not_before=rows.first_to_come - index,
                days_between=_days_between(rows),
            )
    for figure in history.unfinished:
        said = [word for _, word in sorted(went.get(figure, {}).items()) if word]
        if said:
            found[figure] = review_after(said[-1], days_between=_days_between(rows))
    return found


def _words(rows: CourseRows) -> dict[int, dict[int, str]]:
    """Figure (pk) -> index of each lesson whose record names it -> how it went there, "" if not said."""
    found: dict[int, dict[int, str]] = {}
    for index, lesson in enumerate(rows.lessons[: rows.first_to_come]):
        for row in rows.recorded.get(lesson.pk, ()):
            found.setdefault(row.figure_id, {})[index] = row.went
    return found


def _days_between(rows: CourseRows) -> float:
    dates = sorted({lesson.date for lesson in rows.lessons})
    gaps = [(after - before).days for before, after in pairwise(dates)]
    return median(gaps) if gaps else WEEK
