"""The demands of a term, one by one, each with its sentence, and the term without some of them.

A demand belongs to one figure, one lesson or one set. What is not a demand is the frame itself: a figure
is introduced once, inside the term, in lessons that follow each other, and never in a lesson that is over.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from .term_history import Standing, standing
from .term_reach import groups_to_come, lessons_inside, needs_to_come
from .term_values import FigureToTeach, LessonSlot, Reason, TermProblem


def demands(problem: TermProblem) -> tuple[Reason, ...]:
    """Every demand that could stand in a plan's way."""
    state = standing(problem)
    found: list[Reason] = []
    for figure in state.to_come:
        found += _of_figure(problem, state, figure)
    for key, minutes in state.finishing.items():
        sentence = (
            f"The {minutes} minutes left of {key} belong in lesson {state.first + 1}, the first to come."
        )
        found.append(Reason("history", (key,), (state.first,), sentence))
    for figure in problem.figures:
        if figure.least_reviews and figure.review_minutes:
            sentence = f"{figure.key} is reviewed at least {_times(figure.least_reviews)}."
            found.append(Reason("least", (figure.key,), (), sentence))
    for keys in groups_to_come(problem.together, state):
        found.append(Reason("together", keys, (), f"{_join(keys)} belong in one lesson."))
    for keys in groups_to_come(problem.apart, state):
        found.append(Reason("apart", keys, (), f"{_join(keys)} may not share a lesson."))
    for lesson in problem.lessons[state.first :]:
        found += _of_lesson(problem, lesson)
    return tuple(dict.fromkeys(found))


def _of_figure(problem: TermProblem, state: Standing, figure: FigureToTeach) -> Iterator[Reason]:
    key = figure.key
    inside = lessons_inside(problem, state, figure)
    if figure.required:
        spread = f" in {figure.parts} lessons in a row" if figure.parts > 1 else ""
        sentence = f"{key} must be taught this term ({figure.minutes} minutes{spread})."
        yield Reason("required", (key,), (), sentence)
    if figure.pinned is not None:
        sentence = f"{key} is kept in lesson {figure.pinned + 1}."
        yield Reason("pinned", (key,), (figure.pinned,), sentence)
    if figure.earliest is not None and any(lesson < figure.earliest for lesson in inside):
        sentence = f"{key} may not begin before lesson {figure.earliest + 1}."
        yield Reason("earliest", (key,), (figure.earliest,), sentence)
    if figure.latest is not None and any(lesson > figure.latest for lesson in inside):
        sentence = f"{key} must begin by lesson {figure.latest + 1}."
        yield Reason("latest", (key,), (figure.latest,), sentence)
    for lesson in sorted(figure.barred):
        if lesson in inside:
            yield Reason("barred", (key,), (lesson,), f"{key} may not begin in lesson {lesson + 1}.")
    for need in needs_to_come(figure, state, same_lesson=False):
        yield Reason("need", (key, need), (), f"{key} needs {need} in an earlier lesson.")
    for need in needs_to_come(figure, state, same_lesson=True):
        yield Reason("need", (key, need), (), f"{key} needs {need} in the same lesson or an earlier one.")
    if min(_dates(figure), default=state.first) < state.first:
        over = tuple(range(state.first))
        past = f"lessons 1 to {state.first} are" if state.first > 1 else "lesson 1 is"
        yield Reason("history", (key,), over, f"{key} has not been taught, and {past} over.")


def _dates(figure: FigureToTeach) -> list[int]:
    return [date for date in (figure.pinned, figure.latest) if date is not None]


def _of_lesson(problem: TermProblem, lesson: LessonSlot) -> Iterator[Reason]:
    at, name = (lesson.index,), f"Lesson {lesson.index + 1}"
    if lesson.minutes < boundless_minutes(problem):
        yield Reason("room", (), at, f"{name} has room for {lesson.minutes} minutes.")
    if lesson.max_new < len(problem.figures):
        yield Reason("most", (), at, f"{name} takes at most {_new(lesson.max_new)}.")
    if lesson.min_new:
        yield Reason("least", (), at, f"{name} brings at least {_new(lesson.min_new)}.")
    if lesson.min_minutes:
        sentence = f"{name} is filled with at least {lesson.min_minutes} minutes."
        yield Reason("least_minutes", (), at, sentence)


def boundless_minutes(problem: TermProblem) -> int:
    """More than everything at once could ask of one lesson."""
    wanted = sum(figure.minutes + figure.review_minutes for figure in problem.figures)
    return wanted + sum(problem.unfinished.values())


def without_all(problem: TermProblem, reasons: Iterable[Reason]) -> TermProblem:
    """The problem with these demands taken away.

    A figure whose "history" is taken away counts as known, and then nothing else is demanded of it; a
    lesson's room becomes larger than everything.
    """
    reasons = tuple(reasons)
    gone = {key for reason in reasons if reason.kind == "history" for key in reason.keys}
    figures = {figure.key: figure for figure in problem.figures if figure.key not in gone}
    lessons = {lesson.index: lesson for lesson in problem.lessons}
    live = figures.keys() - standing(problem).taught.keys()
    sets: dict[str, set[frozenset[str]]] = {"together": set(), "apart": set()}
    for reason in reasons:
        if reason.kind in sets:
            sets[reason.kind].add(frozenset(live & set(reason.keys)))
        elif not reason.keys:
            lessons[reason.lessons[0]] = _relaxed_lesson(problem, lessons[reason.lessons[0]], reason)
        elif reason.keys[0] in figures:
            figures[reason.keys[0]] = _relaxed_figure(figures[reason.keys[0]], reason)
    return replace(
        problem,
        figures=tuple(figures.values()),
        lessons=tuple(lessons.values()),
        known=problem.known | gone,
        together=tuple(group for group in problem.together if group & live not in sets["together"]),
        apart=tuple(group for group in problem.apart if group & live not in sets["apart"]),
        unfinished={key: minutes for key, minutes in problem.unfinished.items() if key not in gone},
    )


def _relaxed_figure(figure: FigureToTeach, reason: Reason) -> FigureToTeach:
    match reason.kind:
        case "required":
            return replace(figure, required=False)
        case "pinned":
            return replace(figure, pinned=None)
        case "earliest":
            return replace(figure, earliest=None)
        case "latest":
            return replace(figure, latest=None)
        case "barred":
            return replace(figure, barred=figure.barred - set(reason.lessons))
        case "need":
            gone = set(reason.keys[1:])
            return replace(figure, needs=figure.needs - gone, after=figure.after - gone)
        case "least":
            return replace(figure, least_reviews=0)
    raise ValueError(f"{reason.kind} is no demand of a figure.")


def _relaxed_lesson(problem: TermProblem, lesson: LessonSlot, reason: Reason) -> LessonSlot:
    match reason.kind:
        case "room":
            return replace(lesson, minutes=boundless_minutes(problem))
        case "most":
            return replace(lesson, max_new=len(problem.figures))
        case "least":
            return replace(lesson, min_new=0)
        case "least_minutes":
            return replace(lesson, min_minutes=0)
    raise ValueError(f"{reason.kind} is no demand of a lesson.")


def _new(count: int) -> str:
    return f"{count} new figure" if count == 1 else f"{count} new figures"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _join(keys: tuple[str, ...]) -> str:
    names = [str(key) for key in keys]
    return f"{', '.join(names[:-1])} and {names[-1]}"
