"""The shared-out minutes against a general solver: SciPy's `milp` (HiGHS) on the same least squares.

Each minute a segment gets is a variable of its own, with what that minute adds to the square of the
difference as its cost; convexity makes the solver take them in order.
"""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from lessons.planners.tonight import Segment, fit


@st.composite
def lessons(draw):
    """Up to nine segments as an evening has them, and a length that they can fill."""
    lesson = []
    for place in range(draw(st.integers(1, 9))):
        least, ideal, most = sorted(draw(st.lists(st.integers(0, 40), min_size=3, max_size=3)))
        lesson.append(Segment("new", f"segment {place}", least, ideal, most))
    shortest = sum(segment.least for segment in lesson)
    longest = sum(segment.most for segment in lesson)
    return lesson, draw(st.integers(shortest, longest))


def least_squares_by_milp(lesson, minutes):
    costs = []
    base = 0
    for segment in lesson:
        base += (segment.least - segment.ideal) ** 2
        for minute in range(segment.least, segment.most):
            costs.append((minute + 1 - segment.ideal) ** 2 - (minute - segment.ideal) ** 2)
    if not costs:
        return base
    to_share = minutes - sum(segment.least for segment in lesson)
    answer = milp(
        np.array(costs, dtype=float),
        constraints=LinearConstraint(np.ones((1, len(costs))), to_share, to_share),
        bounds=Bounds(0, 1),
        integrality=np.ones(len(costs)),
    )
    assert answer.success
    return base + round(answer.fun)


@settings(max_examples=60, deadline=None)
@given(lessons())
def test_the_solver_finds_no_smaller_sum_of_squares(evening):
    lesson, minutes = evening
    timed = fit(lesson, minutes)
    assert sum(entry.minutes for entry in timed) == minutes
    reached = sum((entry.minutes - entry.segment.ideal) ** 2 for entry in timed)
    assert reached == least_squares_by_milp(lesson, minutes)
