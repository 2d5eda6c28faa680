"""People may join until a lesson the director names: what is needed later comes once more in it."""

import pytest

from lessons.models import PlanReview
from lessons.planners.newcomers import needed_later, once_more
from lessons.problems import course_problem, findings
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]


@pytest.fixture
def made():
    """Each figure needs the one before it; newcomers may join until the fourth lesson, 27 January."""
    made = planned(figures={"box": 0, "turn": 1, "whisk": 5, "wing": 7}, recorded=False)
    made.course.newcomers_until = made.lessons[3].date
    made.course.save()
    return made


def figure(read, name):
    return next(one for one in read.problem.figures if one.key == name)


def test_the_lesson_is_the_last_in_which_somebody_may_be_new(made):
    assert course_problem(made.plan).joining == 3


def test_only_what_is_needed_later_is_due_in_it(made):
    """The whisk comes later and needs the turn; the box is needed by the turn alone, which has been."""
    read = course_problem(made.plan)
    assert needed_later(read.to_plan, 3, {"box": 0, "turn": 1, "whisk": 5, "wing": 7}) == {"turn": 1}
    # Two lessons after it is the fourth: it is due there as it is.
    assert all(figure(read, name).review_after is None for name in ("box", "turn"))


def test_it_is_due_there_beside_its_usual_lessons(made):
    made.row("turn").introductions.update(lesson=made.lessons[0])
    read = course_problem(made.plan)
    assert figure(read, "turn").review_after == (1, 2, 3, 4)
    assert figure(read, "box").review_after is None


def test_a_review_in_that_lesson_is_no_fault(made):
    made.row("turn").introductions.update(lesson=made.lessons[0])
    for at in (1, 2, 3, 4):
        PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[at], due=made.lessons[at])
    assert not [found for found in findings(made.plan) if found.kind == "review"]


def test_the_planner_s_problem_waits_for_where_it_puts_the_figure(made):
    read = course_problem(made.plan)
    assert all(one.review_after is None for one in read.to_plan.figures)
    later = once_more(read.to_plan, read.joining, {"box": 0, "turn": 0, "whisk": 5, "wing": 6})
    assert next(one for one in later.figures if one.key == "turn").review_after == (1, 2, 3, 4)


def test_what_newcomers_miss_is_noted_until_it_comes_again(made):
    (said,) = course_problem(made.plan).notes
    assert said.startswith("turn is needed later and does not come again on Tuesday 27 January")
    PlanReview.objects.create(plan_figure=made.row("turn"), lesson=made.lessons[3], due=made.lessons[3])
    assert course_problem(made.plan).notes == ()


@pytest.mark.parametrize(("day", "today"), [(None, "2026-01-01"), (0, "2026-01-01"), (3, "2026-02-04")])
def test_there_is_no_such_lesson_where_nobody_joins_after_the_first_or_it_has_been(
    made, settings, day, today
):
    settings.TODAY = today
    made.course.newcomers_until = None if day is None else made.lessons[day].date
    made.course.save()
    assert course_problem(made.plan).joining is None
