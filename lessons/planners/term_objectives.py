"""The five aims as linear expressions over a term's model."""

from __future__ import annotations

from ortools.sat.python import cp_model

from .term_aims import previous_lessons, syllabus_neighbours
from .term_model import TermModel, sum_of


def aim_expression(term: TermModel, aim: str) -> cp_model.LinearExprT:
    """The aim's value; "peak" and "order" add variables of their own to the model."""
    return {
        "left_out": _left_out,
        "moved": _moved,
        "late_reviews": _late_reviews,
        "peak": _peak,
        "order": _order,
    }[aim](term)


def _left_out(term: TermModel) -> cp_model.LinearExprT:
    terms, total = [], 0
    for figure in term.state.to_come:
        total += figure.importance
        terms += [(begin, -figure.importance) for begin in term.begins[figure.key].values()]
    return _weighted(terms) + total


def _moved(term: TermModel) -> cp_model.LinearExprT:
    kept, fixed = [], 0
    for key, lesson in previous_lessons(term.problem, term.state).items():
        if key in term.state.finishing:
            fixed += lesson != term.state.first
            continue
        fixed += 1
        if lesson in term.begins[key]:
            kept.append((term.begins[key][lesson], -1))
    return _weighted(kept) + fixed


def _late_reviews(term: TermModel) -> cp_model.LinearExprT:
    return _weighted(term.late_terms)


def _peak(term: TermModel) -> cp_model.LinearExprT:
    lessons = range(term.state.first, len(term.problem.lessons))
    most = max((term.problem.lessons[at].minutes for at in lessons), default=0)
    peak = term.model.new_int_var(0, max(most, 0), "peak")
    for at in lessons:
        term.model.add(term.load(at) <= peak)
    return peak


def _order(term: TermModel) -> cp_model.LinearExprT:
    """One variable a pair of neighbours: 1 if the later one begins first."""
    reversals = []
    first, end = term.state.first, len(term.problem.lessons)
    for before, behind in syllabus_neighbours(term.problem, term.state):
        if before in term.state.taught:
            continue
        reverse = term.model.new_bool_var("")
        reversals.append(reverse)
        # Of a figure taught in the past one lesson tells all: it has begun before any lesson to come.
        for lesson in (first - 1,) if behind in term.state.taught else range(first, end - 1):
            sure, begun = _begun_by(term, behind, lesson)
            ever_sure, ever = _begun_by(term, before, end)
            yet_sure, yet = _begun_by(term, before, lesson)
            spare = 1 - sure - ever_sure + yet_sure
            term.model.add(sum_of(begun + ever) <= sum_of([*yet, reverse]) + spare)
    return sum_of(reversals)


def _begun_by(term: TermModel, key: str, lesson: int) -> tuple[int, list[cp_model.IntVar]]:
    """1 if the figure has surely begun by then, else 0 and the variable that says so."""
    if key in term.state.taught:
        return 1, []
    if key in term.state.finishing:
        return int(term.state.first <= lesson), []
    return 0, term.begun_by(key, lesson)


def in_step(one: TermModel, other: TermModel) -> cp_model.LinearExprT:
    """The lessons by which two courses in one model differ, over the figures both introduce.

    Of two dates the distance is the number of lessons by which only one figure has begun.
    """
    distances: list[cp_model.LinearExprT] = []
    for figure in one.state.to_come:
        key = figure.key
        if other.state.settled(key):
            distances.append(_distance_to(one, key, _settled_lesson(other, key)))
        elif key in other.begins:
            distances.append(_distance_between(one, other, key))
    for figure in other.state.to_come:
        if one.state.settled(figure.key):
            distances.append(_distance_to(other, figure.key, _settled_lesson(one, figure.key)))
    return cp_model.LinearExpr.sum(distances)


def _settled_lesson(term: TermModel, key: str) -> int:
    return term.state.taught.get(key, term.state.first)


def _distance_to(term: TermModel, key: str, lesson: int) -> cp_model.LinearExprT:
    return _weighted([(begin, abs(at - lesson)) for at, begin in term.begins[key].items()])


def _distance_between(one: TermModel, other: TermModel, key: str) -> cp_model.LinearExprT:
    lessons = sorted(one.begins[key].keys() | other.begins[key].keys())
    if not lessons:
        return 0
    ever = [term.begun_by(key, lessons[-1]) for term in (one, other)]
    apart = []
    for lesson in range(lessons[0], lessons[-1]):
        alone = one.model.new_bool_var("")
        apart.append(alone)
        begun = [term.begun_by(key, lesson) for term in (one, other)]
        # Where the other course leaves the figure out there is no distance.
        one.model.add(sum_of(begun[0] + ever[1]) <= sum_of([alone, *begun[1]]) + 1)
        one.model.add(sum_of(begun[1] + ever[0]) <= sum_of([alone, *begun[0]]) + 1)
    return sum_of(apart)


def _weighted(terms: list[tuple[cp_model.IntVar, int]]) -> cp_model.LinearExprT:
    return cp_model.LinearExpr.weighted_sum([variable for variable, _ in terms], [c for _, c in terms])
