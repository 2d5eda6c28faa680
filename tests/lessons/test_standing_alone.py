"""A drop-in evening uses only what its level knows: nothing is presupposed between its lessons."""

import pytest

from lessons.models import CourseKind
from lessons.planners.term import plan_term
from lessons.problems import course_problem
from tests.factories import LevelFactory, RecordFactory
from tests.lessons.planned import TODAY, planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]


def drop_in(*, most_new=2, figures=("box", "turn"), **more):
    """Each figure needs the one before it."""
    return planned(
        figures=dict.fromkeys(figures),
        level=LevelFactory(most_new=most_new, rank=2),
        kind=CourseKind.DROP_IN,
        recorded=False,
        **more,
    )


def figure(made, name):
    return next(one for one in course_problem(made.plan).problem.figures if one.key == name)


def test_what_a_figure_needs_from_its_own_level_is_taught_the_same_evening():
    made = drop_in()
    problem = course_problem(made.plan).problem
    assert problem.together == (frozenset({"box", "turn"}),)
    assert (figure(made, "turn").needs, figure(made, "turn").after) == (frozenset(), frozenset({"box"}))
    found = plan_term(problem, seconds=5)
    assert found.introductions["box"] == found.introductions["turn"]


def test_nothing_is_carried_over_or_comes_again():
    made = drop_in()
    row = made.row("turn")
    row.parts = 2
    row.save()
    assert (figure(made, "turn").parts, figure(made, "turn").review_minutes) == (1, 0)
    assert plan_term(course_problem(made.plan).problem, seconds=5).reviews == ()


def test_a_chain_of_three_shares_one_evening_or_is_said_not_to():
    made = drop_in(figures=("box", "turn", "whisk"), most_new=3)
    assert course_problem(made.plan).problem.together == (frozenset({"box", "turn", "whisk"}),)


def test_a_figure_whose_need_cannot_share_its_evening_is_left_out_and_said():
    made = drop_in(most_new=1)
    read = course_problem(made.plan)
    assert read.notes == (
        "turn needs box on the same evening, which takes 1 new: a drop-in evening stands alone.",
    )
    found = plan_term(read.problem, seconds=5)
    assert (found.status, found.left_out) == ("optimal", ("turn",))


def test_what_was_given_on_another_evening_is_not_built_on(settings):
    settings.TODAY = TODAY
    made = drop_in()
    for lesson in made.lessons[:5]:
        RecordFactory(lesson=lesson, taught={made.row("box").figure: "introduced"})
    read = course_problem(made.plan)
    assert "turn needs box, given on another evening" in read.notes[0]
    assert plan_term(read.problem, seconds=5).left_out == ("turn",)


def test_what_was_not_finished_is_not_owed_to_other_people(settings):
    settings.TODAY = TODAY
    made = drop_in()
    for lesson in made.lessons[:5]:
        RecordFactory(lesson=lesson, taught={made.row("box").figure: "finish_later"})
    assert course_problem(made.plan).problem.unfinished == {}


def test_what_the_level_knows_may_be_used():
    made = drop_in()
    below = LevelFactory(dance=made.course.dance, rank=1)
    box = made.row("box")
    box.figure.level = below
    box.figure.save()
    read = course_problem(made.plan)
    assert (read.problem.together, read.problem.known) == ((), frozenset({"box"}))


def test_a_course_with_a_fixed_group_builds_on_earlier_lessons():
    made = planned(figures={"box": None, "turn": None}, recorded=False)
    assert figure(made, "turn").needs == frozenset({"box"})
