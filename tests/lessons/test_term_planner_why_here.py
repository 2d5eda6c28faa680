"""A plan exists: why is this figure here, what would be better, and what stands in its way?"""

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, ProblemError, TermProblem, plan_term
from lessons.planners.why_here import why_here

EVENINGS = tuple(LessonSlot(index, 60) for index in range(6))


def figure(key, **demands):
    return FigureToTeach(key, 20, **demands)


def why(figures, plan, key, lessons=EVENINGS, **more):
    return why_here(TermProblem(figures, lessons, **more), plan, (), key)


def test_a_better_place_is_named_with_what_stands_in_its_way():
    figures = (figure("basic", order=0), figure("fan", order=1, earliest=3), figure("wing", order=2))
    ranks = ("order", "peak")
    answer = why(figures, {"basic": 0, "fan": 3, "wing": 2}, "fan", ranks=ranks)
    assert (answer.index, answer.better.index, answer.open_place) == (3, 2, None)
    assert answer.sentence == (
        "fan is new in lesson 4. Lesson 3 would be better (neighbours out of order 1 → 0, "
        "minutes in the fullest lesson 20 → 40). "
        "In its way: fan begins in lesson 3, but may not begin before lesson 4."
    )


def test_the_nearest_of_several_better_places_is_told():
    figures = (figure("basic", order=0), figure("fan", order=1, pinned=5), figure("wing", order=2))
    ranks = ("order", "peak")
    answer = why(figures, {"basic": 0, "fan": 5, "wing": 3}, "fan", ranks=ranks)
    assert answer.better.index == 3
    assert "Lesson 4 would be better (neighbours out of order 1 → 0" in answer.sentence
    assert answer.sentence.endswith("In its way: fan begins in lesson 4, but is kept in lesson 6.")


def test_a_better_place_that_is_open_is_an_offer():
    figures = (figure("basic", order=0), figure("fan", order=1))
    answer = why(figures, {"basic": 3, "fan": 2}, "fan")
    assert answer.better.allowed
    assert answer.sentence.endswith("and nothing stands in its way.")


def test_without_a_better_place_the_nearest_open_one_tells_its_cost():
    figures = (figure("basic", order=0), figure("fan", order=1))
    answer = why(figures, {"basic": 0, "fan": 1}, "fan")
    assert answer.better is None
    assert answer.open_place.index == 0
    assert answer.sentence == (
        "fan is new in lesson 2. No lesson is better. In lesson 1 it would cost more: "
        "minutes in the fullest lesson 20 → 40."
    )


def test_one_that_cannot_stand_elsewhere_says_so():
    answer = why((figure("fan", pinned=2),), {"fan": 2}, "fan")
    assert (answer.better, answer.open_place) == (None, None)
    assert "no other lesson" in answer.sentence


def test_a_figure_left_out_is_told_the_lesson_with_the_least_in_its_way():
    lessons = (LessonSlot(0, 10, max_new=0), LessonSlot(1, 10, max_new=1), LessonSlot(2, 10, max_new=0))
    answer = why((figure("fan", required=False),), {}, "fan", lessons)
    assert (answer.index, answer.better.index) == (None, 1)
    assert answer.sentence.startswith("fan is left out. Lesson 2 would be better")
    assert answer.sentence.endswith("In its way: Lesson 2 has room for 10 minutes, but 20 are planned.")


def test_a_best_plan_has_no_open_place_that_is_better():
    figures = tuple(
        FigureToTeach(f"figure {n}", 8 + 3 * n, 4, order=n, needs={f"figure {n - 2}"} if n > 1 else ())
        for n in range(8)
    )
    problem = TermProblem(figures, EVENINGS)
    plan = plan_term(problem)
    assert plan.status == "optimal"
    for one in figures:
        answer = why_here(problem, plan.introductions, plan.reviews, one.key)
        assert answer.better is None or not answer.better.allowed


def test_a_stranger_is_refused():
    with pytest.raises(ProblemError, match="spin is no figure of this term"):
        why((figure("fan"),), {}, "spin")
