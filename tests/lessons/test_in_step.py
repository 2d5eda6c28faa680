"""Parallel courses: which evening is ahead, and which figures are planned for different weeks."""

import datetime as dt
from dataclasses import replace

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from lessons.courses.in_step import step_of
from lessons.models import CourseGroup
from lessons.rules.in_step import Evening, ahead, in_different_weeks
from tests.factories import FigureFactory, LevelFactory, PlanFigureFactory, TermFactory
from tests.lessons.planned import TODAY, planned

TUESDAYS = [dt.date(2026, 1, 6) + dt.timedelta(weeks=week) for week in range(6)]
THURSDAYS = [day + dt.timedelta(days=2) for day in TUESDAYS]
NAMES = ("box", "turn", "whisk")


def evening(name, days, *, taught=0, skips=()):
    """The figures in turn, one a lesson; a lesson of `skips` did not take place and all moves on by one."""
    given_on = [day for day in days if day not in skips]
    planned_for = dict(zip(NAMES, given_on, strict=False))
    had = dict(list(planned_for.items())[:taught])
    return Evening(name, had, planned_for, tuple(given_on))


class TestAhead:
    def test_in_the_same_week_nobody_is_ahead(self):
        tuesday, thursday = evening("Tuesday", TUESDAYS, taught=2), evening("Thursday", THURSDAYS, taught=1)
        assert ahead(tuesday, thursday, today=dt.date(2026, 1, 14)) is None

    def test_after_the_others_lesson_of_that_week_it_is(self):
        """On Friday the turn was to be had on Thursday too."""
        tuesday, thursday = evening("Tuesday", TUESDAYS, taught=2), evening("Thursday", THURSDAYS, taught=1)
        found = ahead(tuesday, thursday, today=dt.date(2026, 1, 16))
        assert (found.evening, found.lessons, found.figures) == ("Tuesday", 1, ("turn",))
        assert ahead(thursday, tuesday, today=dt.date(2026, 1, 16)) is None

    def test_it_says_where_the_figure_comes_on_the_other_evening(self):
        tuesday = evening("Tuesday", TUESDAYS, taught=2)
        thursday = evening("Thursday", THURSDAYS, taught=1, skips=[THURSDAYS[1]])
        found = ahead(tuesday, thursday, today=dt.date(2026, 1, 20))
        assert found.comes == (("turn", THURSDAYS[2]),)

    def test_what_the_other_evening_does_not_teach_does_not_count(self):
        tuesday = evening("Tuesday", TUESDAYS, taught=3)
        other = Evening("Thursday", {}, {"box": THURSDAYS[0]}, tuple(THURSDAYS))
        assert ahead(tuesday, other, today=dt.date(2026, 2, 28)).figures == ("box",)


class TestDifferentWeeks:
    def names(self, one, other, today=dt.date(2026, 1, 9)):
        return [name for name, _, _ in in_different_weeks(one, other, today=today)]

    def test_only_what_not_both_have_had(self):
        tuesday = evening("Tuesday", TUESDAYS, taught=1)
        thursday = evening("Thursday", THURSDAYS, taught=1, skips=[THURSDAYS[1]])
        assert self.names(tuesday, thursday) == ["turn", "whisk"]

    def test_what_one_had_this_week_and_the_other_is_to_have_later(self):
        """Until Thursday is over nobody is ahead, and yet the two are not in step."""
        tuesday = evening("Tuesday", TUESDAYS, taught=2)
        thursday = evening("Thursday", THURSDAYS, taught=1, skips=[THURSDAYS[1]])
        thursday = replace(thursday, lessons=tuple(THURSDAYS))
        wednesday, friday = dt.date(2026, 1, 14), dt.date(2026, 1, 16)
        for one, other in ((tuesday, thursday), (thursday, tuesday)):
            assert self.names(one, other, wednesday) == ["turn", "whisk"]
            assert self.names(one, other, friday) == ["whisk"]
        assert ahead(tuesday, thursday, today=wednesday) is None
        assert ahead(tuesday, thursday, today=friday).figures == ("turn",)

    def test_tuesday_and_thursday_of_one_week_are_in_step(self):
        assert self.names(evening("a", TUESDAYS), evening("b", THURSDAYS)) == []


@given(st.integers(0, 3), st.integers(0, 3), st.dates(dt.date(2026, 1, 1), dt.date(2026, 3, 1)))
def test_of_two_evenings_at_most_one_is_ahead(one, other, today):
    first, second = evening("a", TUESDAYS, taught=one), evening("b", THURSDAYS, taught=other)
    assert ahead(first, second, today=today) is None or ahead(second, first, today=today) is None


@pytest.mark.django_db
class TestCourses:
    @pytest.fixture(autouse=True)
    def today(self, settings):
        settings.TODAY = TODAY

    @pytest.fixture
    def pair(self):
        """Two courses of a group on one level, which both had the box, and a turn that is in no plan yet."""
        group, level, term = CourseGroup.objects.create(name="pair"), LevelFactory(), TermFactory()
        first = planned(
            figures={"box": 0}, level=level, term=term, group=group, status="published", name="Tuesdays"
        )
        second = planned(
            figures={}, level=level, term=term, group=group, status="published", name="Other Tuesdays"
        )
        turn = FigureFactory(level=level, name="turn")
        return first, second, turn

    def plan(self, made, figure, index):
        PlanFigureFactory(plan=made.plan, figure=figure, new_in=made.lessons[index])

    def test_both_say_it(self, pair):
        first, second, turn = pair
        self.plan(first, turn, 4)
        self.plan(second, turn, 6)
        first.lessons[4].record.figures.create(figure=turn, outcome="introduced")
        assert step_of(second.course).behind == (
            "The other evening, Tuesdays, is a lesson ahead: turn, which comes on Tuesday 17 February.",
        )
        assert step_of(first.course).leads == (
            "This evening is a lesson ahead of Other Tuesdays: turn, which comes on Tuesday 17 February.",
        )

    def test_it_stands_on_the_course_s_page_and_on_the_plan(self, pair, as_director):
        first, second, turn = pair
        self.plan(first, turn, 4)
        self.plan(second, turn, 6)
        first.lessons[4].record.figures.create(figure=turn, outcome="introduced")
        for page in (
            reverse("lessons:course", args=[second.course.pk]),
            reverse("lessons:plan", args=[second.plan.pk]),
        ):
            text = as_director.get(page).content.decode()
            assert "The other evening, Tuesdays, is a lesson ahead" in text
            assert "Bring them together in drafts" in text

    def test_what_is_planned_for_different_weeks_is_said(self, pair):
        first, second, turn = pair
        self.plan(first, turn, 6)
        self.plan(second, turn, 7)
        assert step_of(first.course).apart == (
            "turn is new here on Tuesday 17 February, in Other Tuesdays on Tuesday 24 February.",
        )

    def test_in_the_same_week_all_is_well(self, pair):
        first, second, turn = pair
        self.plan(first, turn, 6)
        self.plan(second, turn, 6)
        assert step_of(first.course).is_in_step

    def test_a_course_in_no_group_costs_no_query(self, django_assert_num_queries):
        made = planned()
        with django_assert_num_queries(0):
            assert step_of(made.course) is None

    @pytest.mark.parametrize("figures", [1, 8])
    def test_it_costs_the_same_for_any_number_of_figures(self, pair, figures, django_assert_num_queries):
        first, second, turn = pair
        for number in range(figures):
            figure = FigureFactory(level=turn.level, name=f"figure {number}")
            self.plan(first, figure, 6)
            self.plan(second, figure, 7)
        with django_assert_num_queries(4):
            assert len(step_of(first.course).apart) == figures
