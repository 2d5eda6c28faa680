"""A plan exists: why is this figure here, what would be better, and what stands in its way?"""

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, ProblemError, TermProblem, plan_term
from lessons.planners.why_here import why_here

EVENINGS = tuple(LessonSlot(index, 60) for index in range(6))
ORDER_FIRST = ("order", "peak")


def figure(key, **demands):
    return FigureToTeach(key, 20, **demands)


def why(figures, plan, key, lessons=EVENINGS, **more):
    return why_here(TermProblem(figures, lessons, **more), plan, (), key)


def test_a_better_place_is_named_with_what_stands_in_its_way():
    figures = (figure("basic", order=0), figure("fan", order=1, earliest=3), figure("wing", order=2))
    answer = why(figures, {"basic": 0, "fan": 3, "wing": 2}, "fan", ranks=ORDER_FIRST)
    assert (answer.index, answer.better.index) == (3, 2)
    assert answer.better.sentence == "fan begins in lesson 3, but may not begin before lesson 4."
    assert (answer.better.aims_before["order"], answer.better.aims_after["order"]) == (1, 0)


def test_the_nearest_of_several_better_places_is_told():
    figures = (figure("basic", order=0), figure("fan", order=1, pinned=5), figure("wing", order=2))
    answer = why(figures, {"basic": 0, "fan": 5, "wing": 3}, "fan", ranks=ORDER_FIRST)
    assert answer.better.index == 3
    assert "is kept in lesson 6" in answer.better.sentence


def test_a_better_place_that_is_open_is_an_offer():
    figures = (figure("basic", order=0), figure("fan", order=1))
    assert why(figures, {"basic": 3, "fan": 2}, "fan").better.allowed


def test_the_lessons_on_either_side_are_told_as_well():
    figures = (figure("basic", order=0), figure("fan", order=1))
    answer = why(figures, {"basic": 0, "fan": 1}, "fan")
    assert (answer.better, answer.before.index, answer.behind.index) == (None, 0, 2)
    assert (answer.before.aims_after["peak"], answer.behind.aims_after["peak"]) == (40, 20)


def test_lessons_that_are_over_and_lessons_too_late_for_all_parts_are_not_told():
    lessons = (LessonSlot(0, 60, taught=()), LessonSlot(1, 60), LessonSlot(2, 60))
    answer = why((figure("fan", parts=2),), {"fan": 1}, "fan", lessons)
    assert (answer.better, answer.before, answer.behind) == (None, None, None)


def test_any_lesson_is_better_for_a_figure_left_out():
    lessons = (LessonSlot(0, 60, taught=()), LessonSlot(1, 10), LessonSlot(2, 10))
    answer = why((figure("fan", required=False),), {}, "fan", lessons)
    assert (answer.index, answer.better.index) == (None, 1)
    assert answer.better.sentence == "Lesson 2 has room for 10 minutes, but 20 are planned."


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
