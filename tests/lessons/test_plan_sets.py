"""Figures of a plan that belong together on one evening, and figures that are never two on one."""

import pytest
from django.core.exceptions import ValidationError

from lessons.actions.errors import Overtaken
from lessons.actions.plans import choose_figures
from lessons.actions.sets import company_of, drop_set, set_company
from lessons.models import PlanSet
from lessons.problems import course_problem
from tests.factories import FigureFactory, LevelFactory, PlanFigureFactory
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]

NAMES = ("box", "turn", "whisk", "wing")


@pytest.fixture
def made():
    return planned(figures=dict.fromkeys(NAMES), recorded=False)


def sets_of(plan, kind):
    return sorted(
        sorted(row.figure.name for row in group.figures.all()) for group in plan.sets.filter(kind=kind)
    )


def rows(made, *names):
    return [made.row(name) for name in names]


class TestWholeSets:
    def test_figures_set_together_reach_the_planner_as_one_evening(self, made):
        made.put_set("together", "box", "turn")
        assert course_problem(made.plan).problem.together == (frozenset({"box", "turn"}),)

    def test_figures_kept_apart_reach_the_planner_as_never_two_on_one(self, made):
        made.put_set("apart", "box", "turn", "wing")
        assert course_problem(made.plan).problem.apart == (frozenset({"box", "turn", "wing"}),)

    def test_a_set_is_dropped_and_dropping_it_again_is_no_mistake(self, made, director):
        group = made.put_set("together", "box", "turn")
        drop_set(plan=made.plan, version=1, plan_set=group, by=director)
        drop_set(plan=made.plan, version=2, plan_set=group, by=director)
        assert not PlanSet.objects.exists()

    def test_a_figure_taken_out_of_the_plan_leaves_no_set_of_one(self, made, director):
        made.put_set("together", "box", "turn")
        made.put_set("apart", "box", "whisk", "wing")
        kept = [made.row(name).figure for name in NAMES if name != "box"]
        choose_figures(plan=made.plan, version=1, figures=kept, by=director)
        assert sets_of(made.plan, "together") == []
        assert sets_of(made.plan, "apart") == [["whisk", "wing"]]


class TestBothAtOnce:
    def test_together_and_apart_at_once_is_refused_with_both_names(self, made, director):
        made.put_set("apart", "box", "turn")
        box, turn = rows(made, "box", "turn")
        with pytest.raises(ValidationError, match="box and turn cannot both belong on one evening"):
            set_company(plan=made.plan, version=1, plan_figure=box, together=[turn], by=director)
        assert sets_of(made.plan, "together") == []
        made.plan.refresh_from_db()
        assert made.plan.version == 1

    def test_also_where_a_third_figure_ties_them(self, made, director):
        made.put_set("together", "box", "turn")
        made.put_set("together", "turn", "whisk")
        box, whisk = rows(made, "box", "whisk")
        with pytest.raises(ValidationError, match="box and whisk"):
            set_company(plan=made.plan, version=1, plan_figure=box, apart=[whisk], by=director)


class TestFromOneFiguresRow:
    def company(self, made, name, kind):
        row = made.row(name)
        there = company_of(row, kind)
        return {other.figure.name for other in made.plan.figures.all() if other.pk in there}

    def test_a_figure_says_whom_it_goes_together_with(self, made, director):
        box = made.row("box")
        set_company(plan=made.plan, version=1, plan_figure=box, together=rows(made, "turn"), by=director)
        assert self.company(made, "turn", "together") == {"box"}
        set_company(plan=made.plan, version=2, plan_figure=box, together=[], by=director)
        assert not PlanSet.objects.exists()

    def test_a_figure_of_another_plan_is_refused(self, made, director):
        box, stranger = made.row("box"), PlanFigureFactory(figure=FigureFactory(level=LevelFactory()))
        with pytest.raises(ValidationError, match="not in this plan any more") as refused:
            set_company(plan=made.plan, version=1, plan_figure=box, together=[stranger], by=director)
        assert list(refused.value.message_dict) == ["together"]
        assert not PlanSet.objects.exists()

    def test_nobody_writes_over_what_they_have_not_seen(self, made, director, instructor):
        box, turn, wing = rows(made, "box", "turn", "wing")
        set_company(plan=made.plan, version=1, plan_figure=box, together=[turn], by=director)
        assert made.plan.version == 2
        with pytest.raises(Overtaken):
            set_company(plan=made.plan, version=1, plan_figure=wing, apart=[turn], by=instructor)
        assert sets_of(made.plan, "apart") == []

    def test_what_is_not_given_stays(self, made, director):
        box = made.row("box")
        set_company(plan=made.plan, version=1, plan_figure=box, together=rows(made, "turn"), by=director)
        set_company(plan=made.plan, version=2, plan_figure=box, apart=rows(made, "wing"), by=director)
        assert self.company(made, "box", "together") == {"turn"}
        assert self.company(made, "box", "apart") == {"wing"}

    def test_leaving_a_set_of_three_leaves_the_two_others_in_it(self, made, director):
        made.put_set("apart", "box", "turn", "wing")
        set_company(
            plan=made.plan, version=1, plan_figure=made.row("box"), apart=rows(made, "turn"), by=director
        )
        assert sets_of(made.plan, "apart") == [["box", "turn"], ["turn", "wing"]]

    def test_what_is_chosen_again_is_written_once(self, made, director):
        made.put_set("apart", "box", "turn", "wing")
        both = rows(made, "turn", "wing")
        set_company(plan=made.plan, version=1, plan_figure=made.row("box"), apart=both, by=director)
        assert sets_of(made.plan, "apart") == [["box", "turn", "wing"]]

    def test_apart_from_two_lets_those_two_meet(self, made, director):
        both = rows(made, "turn", "wing")
        set_company(plan=made.plan, version=1, plan_figure=made.row("box"), apart=both, by=director)
        assert self.company(made, "turn", "apart") == {"box"}

    def test_a_refusal_stands_at_the_field_it_came_from(self, made, director):
        wing = rows(made, "wing")
        with pytest.raises(ValidationError) as refused:
            set_company(
                plan=made.plan, version=1, plan_figure=made.row("box"), together=wing, apart=wing, by=director
            )
        assert list(refused.value.message_dict) == ["apart"]
