"""What the records say of how a figure went decides when the plan owes it again."""

import pytest

from lessons.board.page import plan_faults
from lessons.models import PlanReview, RecordedFigure
from lessons.planners.term import plan_term
from lessons.planners.term_history import standing
from lessons.problems import course_problem
from tests.factories import RecordFactory
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("story_day")]


@pytest.fixture
def made():
    """The whisk was new in the fourth lesson, the wing in the fifth."""
    return planned(figures={"box": 0, "whisk": 3, "wing": 4, "weave": 6}, status="published")


def went(made, name, word, *, lesson, outcome=None):
    """Say how a figure went in a lesson that is recorded."""
    rows = RecordedFigure.objects.filter(record__lesson=made.lessons[lesson], figure__name=name)
    if outcome:
        figure = made.row(name).figure
        RecordedFigure.objects.create(
            record=made.lessons[lesson].record, figure=figure, outcome=outcome, went=word
        )
    else:
        assert rows.update(went=word) == 1


def owed(made, name):
    """Lessons to come in which the figure is due again."""
    return standing(course_problem(made.plan).to_plan).dues[name]


def test_without_a_word_a_figure_comes_again_after_one_two_and_four_lessons(made):
    assert owed(made, "wing") == (5, 6, 8)


def test_a_figure_that_is_not_there_yet_is_owed_every_week(made):
    went(made, "wing", "not_yet", lesson=4)
    assert owed(made, "wing") == (5, 6, 7, 8, 10)


def test_a_figure_that_was_shaky_is_owed_once_more_than_usual(made):
    went(made, "wing", "shaky", lesson=4)
    assert owed(made, "wing") == (5, 6, 7, 9)


def test_a_solid_figure_is_left_longer(made):
    went(made, "wing", "solid", lesson=4)
    assert owed(made, "wing") == (6, 9)


def test_the_last_word_counts_from_the_evening_it_was_said(made):
    """New in the fourth, solid; again in the fifth, and not there: from the sixth on every week."""
    went(made, "whisk", "solid", lesson=3)
    went(made, "whisk", "not_yet", lesson=4, outcome="reviewed")
    assert owed(made, "whisk") == (5, 6, 7, 8, 10)


def test_new_twice_on_paper_is_once_new_and_once_again(made):
    went(made, "whisk", "", lesson=3)
    went(made, "whisk", "shaky", lesson=4, outcome="introduced")
    assert owed(made, "whisk") == (5, 6, 8)


def test_a_figure_to_be_finished_takes_its_word_along(made):
    went(made, "weave", "not_yet", lesson=4, outcome="finish_later")
    problem = course_problem(made.plan)
    assert problem.problem.unfinished.keys() == {"weave"}
    assert owed(made, "weave") == (6, 7, 8, 9)


def test_the_planner_brings_it_back_in_the_next_lesson(made):
    went(made, "wing", "not_yet", lesson=4)
    found = plan_term(course_problem(made.plan).to_plan, seconds=5)
    assert min(review.index for review in found.reviews if review.key == "wing") == 5


@pytest.mark.parametrize("word", ["solid", "shaky", "not_yet"])
def test_a_plan_that_was_sound_is_no_fault_after_any_word(made, word):
    wing = made.row("wing")
    for index in (5, 6, 8):
        PlanReview.objects.create(plan_figure=wing, lesson=made.lessons[index], due=made.lessons[index])
    made.row("weave").introductions.update(lesson=made.lessons[7])
    assert plan_faults(course_problem(made.plan)) == ()
    went(made, "wing", word, lesson=4)
    assert plan_faults(course_problem(made.plan)) == ()


def test_lessons_of_another_day_count_in_lessons_not_in_days(made, settings):
    """A lesson that was recorded ahead of the others ends history with it."""
    settings.TODAY = "2026-01-07"
    RecordFactory(lesson=made.lessons[5], taught={made.row("weave").figure: "introduced"})
    went(made, "weave", "solid", lesson=5)
    assert owed(made, "weave") == (7, 10)
