"""What a good plan is: the five aims, in rank, each with the bound that was proved."""

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, plan_term


def evenings(count, minutes=60, **demands):
    return tuple(LessonSlot(index, minutes, **demands) for index in range(count))


def aims(answer):
    assert answer.status == "optimal"
    assert all(aim.value == aim.bound for aim in answer.aims)
    return {aim.name: aim.value for aim in answer.aims}


def test_all_five_are_told_in_the_order_of_the_ranks():
    ranks = ("order", "peak", "late_reviews", "moved", "left_out")
    answer = plan_term(TermProblem((FigureToTeach("basic", 10),), evenings(2), ranks=ranks))
    assert tuple(aim.name for aim in answer.aims) == ranks


def test_aims_that_are_not_ranked_follow_in_their_usual_order():
    answer = plan_term(TermProblem((), evenings(1), ranks=("peak",)))
    assert [aim.name for aim in answer.aims] == ["peak", "left_out", "moved", "late_reviews", "order"]


def test_left_out_counts_importance():
    figures = tuple(
        FigureToTeach(name, 40, required=False, importance=worth)
        for name, worth in (("one", 2), ("two", 3), ("three", 4))
    )
    assert aims(plan_term(TermProblem(figures, evenings(1))))["left_out"] == 5


def test_the_fullest_lesson_is_as_empty_as_can_be():
    figures = tuple(FigureToTeach(f"figure {minutes}", minutes) for minutes in (30, 19, 10, 15, 25, 21))
    answer = plan_term(TermProblem(figures, evenings(3)))
    assert aims(answer)["peak"] == 40
    assert answer.minutes == (40, 40, 40)


def test_a_plan_is_disturbed_as_little_as_can_be():
    figures = tuple(FigureToTeach(f"figure {number}", 20) for number in range(6))
    previous = {"figure 0": 2, "figure 1": 2, "figure 2": 2, "figure 3": 0, "figure 4": 0, "figure 5": 1}
    undisturbed = plan_term(TermProblem(figures, evenings(3), previous=previous))
    assert aims(undisturbed)["moved"] == 0
    assert undisturbed.introductions == previous
    narrower = plan_term(TermProblem(figures, evenings(3, minutes=40), previous=previous))
    assert aims(narrower)["moved"] == 1


def test_a_figure_left_out_of_an_earlier_plan_has_moved():
    figures = (FigureToTeach("long", 50, required=False), FigureToTeach("short", 20))
    answer = plan_term(TermProblem(figures, evenings(1), previous={"long": 0, "short": 0}))
    assert aims(answer)["moved"] == 1


def test_ranks_decide_between_leaving_nothing_out_and_moving_nothing():
    figures = (
        FigureToTeach("first", 30, required=False),
        FigureToTeach("second", 30, required=False, earliest=1),
    )
    lessons = (LessonSlot(0, 30), LessonSlot(1, 30))
    problem = TermProblem(figures, lessons, previous={"first": 1})
    assert aims(plan_term(problem))["left_out"] == 0
    still = TermProblem(figures, lessons, previous={"first": 1}, ranks=("moved", "left_out"))
    kept = aims(plan_term(still))
    assert (kept["moved"], kept["left_out"]) == (0, 1)


def test_figures_follow_the_syllabus_where_nothing_else_decides():
    figures = tuple(FigureToTeach(name, 20, order=order) for order, name in enumerate("dbca"))
    answer = plan_term(TermProblem(figures, evenings(4, max_new=1)))
    assert aims(answer)["order"] == 0
    assert list(answer.introductions) == ["d", "b", "c", "a"]
    assert list(answer.introductions.values()) == [0, 1, 2, 3]


def test_neighbours_in_the_syllabus_come_from_order_and_then_place():
    figures = (
        FigureToTeach("second", 10, order=1, pinned=0),
        FigureToTeach("third", 10, order=1, pinned=0),
        FigureToTeach("first", 10, order=0, pinned=1),
    )
    assert aims(plan_term(TermProblem(figures, evenings(2))))["order"] == 1


def test_a_figure_left_out_still_parts_its_neighbours():
    figures = (
        FigureToTeach("first", 10, order=0, pinned=1),
        FigureToTeach("between", 90, order=1, required=False),
        FigureToTeach("last", 10, order=2, pinned=0),
    )
    assert aims(plan_term(TermProblem(figures, evenings(2))))["order"] == 0


def test_a_pair_wholly_in_history_is_not_counted_and_a_pair_half_in_it_is():
    figures = (
        FigureToTeach("first", 10, order=0),
        FigureToTeach("second", 10, order=1),
        FigureToTeach("third", 10, order=2),
    )
    lessons = (LessonSlot(0, 60, taught={"third"}), LessonSlot(1, 60, taught={"second"}), LessonSlot(2, 60))
    assert aims(plan_term(TermProblem(figures, lessons)))["order"] == 1


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_problem_and_seed_give_the_same_plan(seed):
    figures = tuple(
        FigureToTeach(
            f"figure {number}", 8 + number * 5 % 13, 4, needs={f"figure {number - 3}"} if number > 5 else ()
        )
        for number in range(10)
    )
    problem = TermProblem(figures, evenings(7, minutes=40))
    first, second = (plan_term(problem, seed=seed, seconds=30) for _ in range(2))
    assert first.status == "optimal"
    assert first == second
