"""Generated terms against a model of our own for another solver: HiGHS, through scipy.optimize.milp.

The reference knows introductions with prerequisites, dates, room and the number of new figures, and one
review an evening after the introduction; it asks for the lowest possible fullest lesson. The two models share
nothing but the problem.
"""

import random
from functools import cache

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, plan_term


def generated_term(seed):
    """A dozen figures over eight evenings, some dated, each danced again the evening after."""
    dice = random.Random(seed)
    figures = []
    for number in range(12):
        needs = {f"figure {dice.randrange(number)}" for _ in range(dice.choice((0, 1, 1, 2))) if number}
        figures.append(
            FigureToTeach(
                f"figure {number}",
                dice.randint(8, 25),
                dice.randint(4, 6),
                needs=needs,
                order=number,
                latest=dice.choice((None, None, None, 3)),
                earliest=dice.choice((None, None, None, 1)),
                least_reviews=1,
            )
        )
    lessons = tuple(LessonSlot(index, 75, max_new=3) for index in range(8))
    ranks = ("left_out", "peak", "moved", "late_reviews", "order")
    return TermProblem(tuple(figures), lessons, review_after=(1,), review_slack=0, ranks=ranks)


@cache
def least_peak(problem):
    """The lowest fullest lesson by HiGHS; None if there is no plan.

    Variables: x[f, l] = figure f begins in lesson l, row by row, and last the peak.
    """
    figures, count = problem.figures, len(problem.lessons)
    place = {figure.key: index for index, figure in enumerate(figures)}
    size = len(figures) * count + 1
    rows, low, high = [], [], []

    def demand(coefficients, least, most):
        row = np.zeros(size)
        for variable, weight in coefficients:
            row[variable] += weight
        rows.append(row)
        low.append(least)
        high.append(most)

    upper = np.ones(size)
    upper[-1] = np.inf
    for f, figure in enumerate(figures):
        demand([(f * count + lesson, 1) for lesson in range(count)], 1, 1)
        for lesson in range(count):
            if lesson < (figure.earliest or 0) or (figure.latest is not None and lesson > figure.latest):
                upper[f * count + lesson] = 0
        for need in figure.needs:
            # The lesson of the need, counted as a sum, lies at least one before the figure's.
            own = [(f * count + lesson, lesson) for lesson in range(count)]
            theirs = [(place[need] * count + lesson, -lesson) for lesson in range(count)]
            demand(own + theirs, 1, np.inf)
    for lesson, slot in enumerate(problem.lessons):
        load = []
        for f, figure in enumerate(figures):
            load.append((f * count + lesson, figure.minutes))
            if lesson:
                load.append((f * count + lesson - 1, figure.review_minutes))
        demand(load, 0, slot.minutes)
        demand([*load, (size - 1, -1)], -np.inf, 0)
        demand([(f * count + lesson, 1) for f in range(len(figures))], 0, slot.max_new)
    cost = np.zeros(size)
    cost[-1] = 1
    result = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), np.array(low), np.array(high)),
        bounds=Bounds(np.zeros(size), upper),
        integrality=np.ones(size),
    )
    assert result.status in (0, 2), result.message
    return round(result.fun) if result.status == 0 else None


@pytest.mark.parametrize("seed", range(12))
def test_both_solvers_find_the_same_lowest_peak(seed):
    problem = generated_term(seed)
    reference = least_peak(problem)
    answer = plan_term(problem, seconds=30)
    if reference is None:
        assert answer.status == "impossible"
        return
    peak = next(aim for aim in answer.aims if aim.name == "peak")
    assert (peak.value, peak.bound) == (reference, reference)


def test_the_generated_terms_are_of_both_kinds():
    possible = [least_peak(generated_term(seed)) is not None for seed in range(12)]
    assert any(possible)
    assert not all(possible)
