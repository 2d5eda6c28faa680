"""The five aims as linear expressions over a term's model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ortools.sat.python import cp_model

from .term_aims import IN_STEP, previous_lessons, syllabus_neighbours
from .term_model import TermModel, sum_of


def aim_expression(
    term: TermModel, aim: str, steps: Sequence[Mapping[str, int]] = ()
) -> cp_model.LinearExprT:
    """The aim's value; "peak" and "order" add variables of their own to the model."""
    if aim == IN_STEP:
        return _in_step(term, steps)
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
    reversals = []
    for before, behind in syllabus_neighbours(term.problem, term.state):
        if before in term.state.taught:
            continue
        reverse = term.model.new_bool_var("")
        reversals.append(reverse)
        if behind in term.state.taught:
            fixed, introduced = _begun_after(term, before, -1)
            term.model.add(sum_of(introduced) + fixed <= reverse)
            continue
        for lesson in range(term.state.first, len(term.problem.lessons) - 1):
            fixed_by, begun = _begun_by(term, behind, lesson)
            fixed_after, to_begin = _begun_after(term, before, lesson)
            if (fixed_by or begun) and (fixed_after or to_begin):
                term.model.add(sum_of(begun + to_begin) + fixed_by + fixed_after - 1 <= reverse)
    return sum_of(reversals)


def _begun_by(term: TermModel, key: str, lesson: int) -> tuple[int, list[cp_model.IntVar]]:
    if key in term.state.finishing:
        return int(term.state.first <= lesson), []
    return 0, [begin for at, begin in term.begins[key].items() if at <= lesson]


def _begun_after(term: TermModel, key: str, lesson: int) -> tuple[int, list[cp_model.IntVar]]:
    if key in term.state.finishing:
        return int(term.state.first > lesson), []
    return 0, [begin for at, begin in term.begins[key].items() if at > lesson]


def _in_step(term: TermModel, steps: Sequence[Mapping[str, int]]) -> cp_model.LinearExprT:
    terms = []
    for other in steps:
        for figure in term.state.to_come:
            if figure.key in other:
                begins = term.begins[figure.key].items()
                terms += [(begin, abs(at - other[figure.key])) for at, begin in begins]
    return _weighted(terms)


def _weighted(terms: list[tuple[cp_model.IntVar, int]]) -> cp_model.LinearExprT:
    return cp_model.LinearExpr.weighted_sum([variable for variable, _ in terms], [c for _, c in terms])
