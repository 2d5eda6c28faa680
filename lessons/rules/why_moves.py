"""Why a figure moves when the rest of a term is planned again, in one sentence a director would say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from lessons.planners.term_values import FigureToTeach, TermProblem

Places = Mapping[str, int]


@dataclass(frozen=True)
class Question:
    """What is known of the two plans. `problem`: what the new one was made by; `days`: what each lesson is
    called, like "Tuesday 3 March"; `lost`: figure -> what the calendar or an evening did to its place."""

    problem: TermProblem
    before: Places
    after: Places
    days: tuple[str, ...]
    lost: Mapping[str, str] = field(default_factory=dict)


def why_moves(question: Question) -> dict[str, str]:
    """Figure -> why it stands elsewhere than before, or in no lesson; only those that move."""
    before, after = question.before, question.after
    moved = [f for f in question.problem.figures if before.get(f.key) != after.get(f.key)]
    return {figure.key: next(_reasons(question, figure)) for figure in moved}


def _reasons(question: Question, figure: FigureToTeach) -> Iterator[str]:
    """The strongest first; the last one always holds."""
    at, goes = question.before.get(figure.key), question.after.get(figure.key)
    if figure.key in question.lost:
        yield question.lost[figure.key].split(": place it anew")[0].rstrip(".") + "."
    yield from _waits(question, figure, goes)
    if goes is None:
        yield "No lesson to come has room for it."
    elif at is None:
        yield "It stood in no lesson."
    if at is not None:
        yield from _may_not_stay(question, figure, at)
    if goes is not None and figure.pinned == goes:
        yield "It is kept in this lesson."
    if goes is not None:
        yield from _with_others(question, figure, goes)
    if at is not None:
        yield from _makes_room(question, figure, at)
    yield "So the rest fits."


def _waits(question: Question, figure: FigureToTeach, goes: int | None) -> Iterator[str]:
    """It needs what moves behind its old place, or is left out."""
    at = question.before.get(figure.key)
    for need in sorted(figure.needs | figure.after):
        if need not in question.before and need not in question.after:
            continue
        stands = question.after.get(need)
        if stands is None and goes is None:
            yield f"It needs {need}, which has no lesson either."
        elif stands is not None and at is not None and stands >= at and question.before.get(need) != stands:
            behind = ", and no room is left after that" if goes is None else ""
            yield f"It needs {need}, which goes to {question.days[stands]}{behind}."


def _may_not_stay(question: Question, figure: FigureToTeach, at: int) -> Iterator[str]:
    slot = question.problem.lessons[at]
    if at in figure.barred:
        yield f"It may not be new on {question.days[at]}."
    if figure.latest is not None and at > figure.latest:
        yield f"It must come by {question.days[figure.latest]}."
    if figure.earliest is not None and at < figure.earliest:
        yield f"It may not come before {question.days[figure.earliest]}."
    if slot.max_new == 0:
        yield f"Nothing is new on {question.days[at]}."


def _with_others(question: Question, figure: FigureToTeach, goes: int) -> Iterator[str]:
    for group in question.problem.together:
        others = sorted(key for key in group - {figure.key} if question.after.get(key) == goes)
        if figure.key in group and others:
            yield f"It belongs on one evening with {others[0]}."


def _makes_room(question: Question, figure: FigureToTeach, at: int) -> Iterator[str]:
    finished = sorted(key for key in question.problem.unfinished if question.after.get(key) == at)
    come = sorted(
        key
        for key, index in question.after.items()
        if index == at and question.before.get(key) != at and key not in finished
    )
    if finished:
        yield f"{question.days[at]} finishes {finished[0]} first."
    if come:
        yield f"{question.days[at]} takes {come[0]} instead."
