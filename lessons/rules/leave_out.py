"""Too much for one evening: can the term plan still take a figure up later, and when?

No search: the figure is put into the next lesson, then the one after, and so on, and each time the plan's own
check says whether anything breaks that did not before. Lessons are indices into the problem's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from lessons.planners.term_check import check_plan
from lessons.planners.term_values import Review, TermProblem

_TOO_MUCH = frozenset({"room", "most"})


@dataclass(frozen=True)
class PlannedTerm:
    """The course's plan as it stands: key -> lesson of the first part, and the reviews."""

    problem: TermProblem
    introductions: Mapping[str, int]
    reviews: tuple[Review, ...]

    def breaches(self, *, eased: int) -> frozenset[str]:
        """What is wrong with it, as sentences; not that lesson `eased`, from which something goes, holds too
        much: however much is left there, it is less."""
        return frozenset(
            finding.sentence
            for finding in check_plan(self.problem, self.introductions, self.reviews)
            if finding.kind not in _TOO_MUCH or finding.lessons != (eased,)
        )


def stands(term: PlannedTerm, kind: str, key: str, lesson: int) -> bool:
    """Whether the plan has the figure in `lesson` as this; a later part of one that was begun it has not."""
    if kind == "review":
        return any(review.key == key and review.index == lesson for review in term.reviews)
    if kind == "carry":
        return key in term.problem.unfinished and term.introductions.get(key) == lesson
    return term.introductions.get(key) == lesson


def next_time(term: PlannedTerm, kind: str, key: str, lesson: int) -> int | None:
    """The first lesson after `lesson` that can take the figure up with nothing broken; None if none can.

    kind: "review", "carry" or "new", what the figure is in `lesson`, where it `stands`.
    """
    moves = {"review": _reviewed_later, "carry": _finished_later, "new": _introduced_later}[kind]
    before = term.breaches(eased=lesson)
    moved = moves(term, key, lesson)
    return next((at for at, after in moved if after.breaches(eased=lesson) <= before), None)


Moves = Iterator[tuple[int, PlannedTerm]]


def _reviewed_later(term: PlannedTerm, key: str, lesson: int) -> Moves:
    """It comes again anyhow, or its review moves."""
    here = [review for review in term.reviews if review.key == key and review.index == lesson]
    others = tuple(review for review in term.reviews if review not in here)
    coming = sorted(review.index for review in others if review.key == key and review.index > lesson)
    for at in coming[:1]:
        yield at, replace(term, reviews=others)
    for at in _after(term, lesson):
        moved = tuple(replace(review, index=at) for review in here)
        yield at, replace(term, reviews=(*others, *moved))


def _finished_later(term: PlannedTerm, key: str, lesson: int) -> Moves:
    """What is still owed goes into the next lesson, beside what is new there; later it may not."""
    at = lesson + 1
    if at >= len(term.problem.lessons):
        return
    owed = term.problem.unfinished[key]
    figures = tuple(
        replace(one, minutes=owed, parts=1, earliest=None, latest=None, pinned=None, barred=frozenset())
        if one.key == key
        else one
        for one in term.problem.figures
    )
    lessons = tuple(
        replace(slot, max_new=slot.max_new + 1) if slot.index == at else slot for slot in term.problem.lessons
    )
    unfinished = {one: minutes for one, minutes in term.problem.unfinished.items() if one != key}
    problem = replace(term.problem, figures=figures, lessons=lessons, unfinished=unfinished)
    yield from _placed(replace(term, problem=problem), key, lesson, at)


def _introduced_later(term: PlannedTerm, key: str, lesson: int) -> Moves:
    for at in _after(term, lesson):
        yield from _placed(term, key, lesson, at)


def _placed(term: PlannedTerm, key: str, lesson: int, at: int) -> Moves:
    """New in lesson `at`: its reviews move along as far as the term goes, or find no room (a cost, no
    breach)."""
    last = len(term.problem.lessons) - 1
    own = [review for review in term.reviews if review.key == key]
    others = tuple(review for review in term.reviews if review.key != key)
    shift = at - lesson
    along = tuple(
        replace(review, index=review.index + shift, due=review.due + shift)
        for review in own
        if max(review.index, review.due) + shift <= last
    )
    introductions = {**term.introductions, key: at}
    for reviews in ((*others, *along), others):
        yield at, replace(term, introductions=introductions, reviews=reviews)


def _after(term: PlannedTerm, lesson: int) -> Sequence[int]:
    return range(lesson + 1, len(term.problem.lessons))
