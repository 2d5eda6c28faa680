"""How little must a demand give way? The solver is asked for the nearest date, the fewest minutes."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from ortools.sat.python import cp_model

from .changes import Change, changed
from .term_history import standing
from .term_model import TermModel, sum_of
from .term_reach import reach
from .term_stage import reviews_matter, set_parameters
from .term_values import Reason, TermProblem

Objective = Callable[[TermModel], cp_model.LinearExprT]


def least_changes(
    problem: TermProblem, conflict: Sequence[Reason], reason: Reason, *, seconds: float
) -> Iterator[Change]:
    """Changes of the one demand that may be enough, the smallest first; at most `seconds` of search.

    Nothing, or a change that does not do, where the term cannot be met without the demand either.
    """
    until = time.monotonic() + seconds
    given_up = Change(reason.kind, reason.keys, reason.lessons)
    match reason.kind:
        case "need":
            yield replace(given_up, value=0)
            yield given_up
        case "latest" | "earliest":
            value = _nearest_lesson(problem, given_up, until)
            if value is not None:
                yield replace(given_up, value=value)
        case "room":
            rooms = tuple(sorted(other.lessons[0] for other in conflict if other.kind == "room"))
            if len(rooms) > 1 and rooms[0] == reason.lessons[0]:
                # One evening that is half as long again helps nobody: a little more of each does.
                extra = _minutes_more(problem, rooms, until)
                if extra is not None:
                    yield Change("room", (), rooms, extra)
            extra = _minutes_more(problem, reason.lessons, until)
            if extra is not None:
                yield replace(given_up, value=extra)
        case "most" | "least" | "least_minutes" if not reason.keys:
            value = _nearest_number(problem, given_up, until)
            if value is not None:
                yield replace(given_up, value=value)
        case "least":
            figure = next(figure for figure in problem.figures if figure.key == reason.keys[0])
            for count in range(figure.least_reviews - 1, -1, -1):
                yield replace(given_up, value=count)
        case _:
            yield given_up


def _nearest_lesson(problem: TermProblem, given_up: Change, until: float) -> int | None:
    """The date nearest to the one demanded on which the figure can begin."""
    key = given_up.keys[0]
    sign = 1 if given_up.kind == "latest" else -1

    def lesson(term: TermModel) -> cp_model.LinearExprT:
        begins = term.begins[key]
        term.model.add_exactly_one(begins.values())
        return cp_model.LinearExpr.weighted_sum(list(begins.values()), [sign * at for at in begins])

    value = _least(changed(problem, given_up), lesson, until)
    return None if value is None else sign * value


def _minutes_more(problem: TermProblem, lessons: tuple[int, ...], until: float) -> int | None:
    """How many minutes more each of these lessons must have."""
    roomy = problem
    for lesson in lessons:
        roomy = changed(roomy, Change("room", (), (lesson,)))

    def extra(term: TermModel) -> cp_model.LinearExprT:
        most = max(roomy.lessons[lesson].minutes for lesson in lessons)
        minutes = term.model.new_int_var(0, most, "extra")
        for lesson in lessons:
            term.model.add(term.load(lesson) <= problem.lessons[lesson].minutes + minutes)
        return minutes

    return _least(roomy, extra, until)


def _nearest_number(problem: TermProblem, given_up: Change, until: float) -> int | None:
    """The number nearest to the one the lesson demands."""
    lesson = given_up.lessons[0]
    sign = 1 if given_up.kind == "most" else -1

    def number(term: TermModel) -> cp_model.LinearExprT:
        if given_up.kind == "least_minutes":
            return -term.load(lesson)
        return sign * sum_of(begins[lesson] for begins in term.begins.values() if lesson in begins)

    value = _least(changed(problem, given_up), number, until)
    return None if value is None else sign * value


def _least(problem: TermProblem, objective: Objective, until: float) -> int | None:
    """The lowest value found of the objective; None if the problem cannot be met, or not found to be."""
    state = standing(problem)
    with_reviews = reviews_matter(problem, ())
    term = TermModel(problem, state, reach(problem, state), with_reviews=with_reviews, needed_only=True)
    term.model.minimize(objective(term))
    solver = cp_model.CpSolver()
    set_parameters(solver, seed=1)
    solver.parameters.max_time_in_seconds = max(0.01, until - time.monotonic())
    if solver.solve(term.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return round(solver.objective_value)
