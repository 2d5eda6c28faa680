"""What the lessons already taught have settled: who is introduced, which reviews are still owed.

This is the search's own book-keeping; the check of a plan keeps another one of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from .term_values import FigureToTeach, TermProblem


@dataclass(frozen=True)
class Standing:
    """Where the term stands before planning.

    `first`: index of the first lesson to come (the number of lessons if there is none);
    `taught`: key -> lesson, of figures introduced in history; `finishing`: key -> minutes still owed, in
    lesson `first`; `dues`: key -> lessons in which a figure of `taught` still owes a review;
    `to_come`: figures whose introduction is still to be planned; `place`: key -> place in the tuple;
    `parts`: key -> number of lessons the introduction takes.
    """

    first: int
    taught: dict[str, int]
    finishing: dict[str, int]
    dues: dict[str, tuple[int, ...]]
    to_come: tuple[FigureToTeach, ...]
    place: dict[str, int]
    parts: dict[str, int]

    def settled(self, key: str) -> bool:
        """Whether the key's introduction is a fact: taught, or begun and to be finished."""
        return key in self.taught or key in self.finishing


def standing(problem: TermProblem) -> Standing:
    """Read history. An unfinished figure is introduced in the first lesson to come, whatever was recorded."""
    first = sum(lesson.taught is not None for lesson in problem.lessons)
    place = {figure.key: index for index, figure in enumerate(problem.figures)}
    finishing = dict(problem.unfinished) if first < len(problem.lessons) else {}
    taught: dict[str, int] = {}
    for lesson in problem.lessons[:first]:
        for key in lesson.taught or ():
            if key in place and key not in problem.unfinished:
                taught.setdefault(key, lesson.index)
    by_key = {figure.key: figure for figure in problem.figures}
    ordered = {key: taught[key] for key in sorted(taught, key=place.__getitem__)}
    dues = {key: _dues_left(problem, by_key[key], index, first) for key, index in ordered.items()}
    for key in sorted(finishing, key=place.__getitem__):
        dues[key] = dues_after(problem, by_key[key], first)
    to_come = tuple(f for f in problem.figures if f.key not in taught and f.key not in finishing)
    parts = {figure.key: figure.parts for figure in problem.figures}
    return Standing(first, ordered, finishing, dues, to_come, place, parts)


def dues_after(problem: TermProblem, figure: FigureToTeach, last: int) -> tuple[int, ...]:
    """The lessons in which reviews are due when the figure's last part stands in lesson `last`."""
    if not figure.review_minutes:
        return ()
    distances = problem.review_after if figure.review_after is None else figure.review_after
    return tuple(last + distance for distance in distances if last + distance < len(problem.lessons))


def _dues_left(problem: TermProblem, figure: FigureToTeach, last: int, first: int) -> tuple[int, ...]:
    """Dues of a figure taught in lesson `last`, less those settled and those whose window has passed."""
    left = list(dues_after(problem, figure, last))
    for lesson in problem.lessons[last + 1 : first]:
        if figure.key in lesson.reviewed:
            settled = next((due for due in left if abs(lesson.index - due) <= problem.review_slack), None)
            if settled is not None:
                left.remove(settled)
    return tuple(due for due in left if due + problem.review_slack >= first)


def window(problem: TermProblem, due: int, last: int, first: int) -> range:
    """The lessons to come in which a review due in lesson `due` may lie."""
    start = max(due - problem.review_slack, last + 1, first)
    return range(start, min(due + problem.review_slack, len(problem.lessons) - 1) + 1)
