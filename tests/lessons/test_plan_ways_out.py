"""Under each reason of a conflict stands what would undo it, tried and costed, each one action away."""

import pytest
from django.urls import reverse

from curriculum.models import Prerequisite
from lessons.models import Outcome, PlanRun, PlanSet, RecordedFigure
from lessons.rules.conflict_words import Demand, thoughts
from lessons.tasks import run_plan
from tests.factories import RecordFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


def run_of(client, made):
    """A run that has come to its end."""
    client.post(reverse("lessons:plan-run-start", args=[made.plan.pk]), {"seconds": "5"})
    run = PlanRun.objects.filter(plan=made.plan).first()
    run_plan(run.pk, worker="here")
    run.refresh_from_db()
    return run


def page(client, run):
    return client.get(reverse("lessons:plan-run", args=[run.pk]))


def ways(shown):
    return [way for one in shown.context["because"] for way in one.ways]


def take(client, run, number):
    return client.post(reverse("lessons:plan-run-way", args=[run.pk]), {"way": number}, follow=True)


@pytest.fixture
def contradiction(db):
    """whisk is kept in lesson 6, which is too early for it."""
    made = planned()
    made.plan.figures.filter(figure__name="whisk").update(pinned=made.lessons[5])
    return made


def test_a_pin_let_go_is_offered_with_what_it_comes_to(as_director, contradiction):
    run = run_of(as_director, contradiction)
    shown = page(as_director, run)
    way = next(way for way in ways(shown) if "Do not keep whisk" in way.sentence)
    assert way.is_enough
    assert "minutes in the fullest lesson" in way.cost
    assert "Do it and plan again" in shown.content.decode()


def test_taking_it_changes_the_draft_and_plans_again(as_director, contradiction):
    run = run_of(as_director, contradiction)
    number = next(way.number for way in ways(page(as_director, run)) if "Do not keep" in way.sentence)
    answer = take(as_director, run, number)
    again = PlanRun.objects.first()
    assert answer.redirect_chain[-1][0] == reverse("lessons:plan-run", args=[again.pk])
    assert again.pk != run.pk
    assert contradiction.row("whisk").pinned is None
    run_plan(again.pk, worker="here")
    again.refresh_from_db()
    assert again.has_plan


def test_it_can_be_taken_back_on_the_draft(as_director, contradiction):
    run = run_of(as_director, contradiction)
    number = next(way.number for way in ways(page(as_director, run)) if "Do not keep" in way.sentence)
    take(as_director, run, number)
    assert contradiction.plan.steps.get().said == ["whisk is no longer kept in lesson 6."]


def test_a_draft_changed_since_is_not_changed_by_an_old_answer(as_director, contradiction):
    run = run_of(as_director, contradiction)
    contradiction.plan.version += 1
    contradiction.plan.save()
    assert "changed after this run began" in take(as_director, run, 0).content.decode()
    assert contradiction.row("whisk").pinned is not None


def test_while_the_draft_is_being_planned_nothing_of_it_gives_way(as_director, contradiction):
    run = run_of(as_director, contradiction)
    number = next(way.number for way in ways(page(as_director, run)) if "Do not keep" in way.sentence)
    as_director.post(reverse("lessons:plan-run-start", args=[contradiction.plan.pk]), {"seconds": "5"})
    assert "being planned already" in take(as_director, run, number).content.decode()
    assert contradiction.row("whisk").pinned is not None


def test_a_plan_published_since_is_not_offered_for_planning_as_a_draft(as_director, contradiction):
    run = run_of(as_director, contradiction)
    contradiction.plan.version += 1
    contradiction.plan.status = "published"
    contradiction.plan.save()
    shown = page(as_director, run).content.decode()
    assert reverse("lessons:plan-run-start", args=[contradiction.plan.pk]) not in shown
    assert reverse("lessons:plan-again", args=[contradiction.course.pk]) in shown


@pytest.mark.parametrize("number", ["99", "-1", "x", ""])
def test_a_way_that_is_none_is_refused_in_a_sentence(as_director, contradiction, number):
    run = run_of(as_director, contradiction)
    assert "no way out of this draft" in take(as_director, run, number).content.decode()


def test_a_later_date_is_offered_and_set(as_director):
    made = planned()
    made.plan.figures.filter(figure__name="whisk").update(latest=made.lessons[5])
    run = run_of(as_director, made)
    way = next(way for way in ways(page(as_director, run)) if "as late as" in way.sentence)
    take(as_director, run, way.number)
    assert made.row("whisk").latest == made.lessons[6]


def test_a_figure_that_may_stay_out_is_one_action_away(as_director, contradiction):
    contradiction.plan.figures.filter(figure__name="whisk").update(pinned=None, latest=None)
    contradiction.plan.figures.filter(figure__name="turn").update(earliest=contradiction.lessons[9])
    run = run_of(as_director, contradiction)
    way = next(way for way in ways(page(as_director, run)) if "left out if it must" in way.sentence)
    take(as_director, run, way.number)
    assert not contradiction.row("whisk").required


def test_figures_kept_together_are_let_go(as_director):
    made = planned()
    group = PlanSet.objects.create(plan=made.plan, kind="together")
    group.figures.set([made.row("turn"), made.row("whisk")])
    run = run_of(as_director, made)
    way = next(way for way in ways(page(as_director, run)) if "different lessons" in way.sentence)
    take(as_director, run, way.number)
    assert not made.plan.sets.exists()


def test_what_is_the_courses_or_the_syllabuss_own_leads_there(as_director, contradiction):
    run = run_of(as_director, contradiction)
    shown = page(as_director, run).content.decode()
    assert "what whisk needs, in every course" in shown
    assert "whisk in this draft" in shown


def test_an_instructor_reads_the_ways_and_takes_none(client, instructor, as_director, contradiction):
    run = run_of(as_director, contradiction)
    client.force_login(instructor)
    shown = page(client, run).content.decode()
    assert "Do not keep whisk" in shown
    assert "Do it and plan again" not in shown


class TestTheSum:
    """One unfinished figure can make a term of one new figure an evening impossible."""

    def unfinished(self, *, in_a_row):
        names = {"box": 0, "turn": 4} | {f"figure {number}": 5 + number for number in range(5)}
        made = planned(figures=names, recorded=False)
        if not in_a_row:
            Prerequisite.objects.all().delete()
        for lesson in made.lessons[:4]:
            first = {made.row("box").figure: "introduced"} if lesson == made.lessons[0] else {}
            RecordFactory(lesson=lesson, taught=first)
        RecordedFigure.objects.create(
            record=RecordFactory(lesson=made.lessons[4]),
            figure=made.row("turn").figure,
            outcome=Outcome.FINISH_LATER,
            minutes_owed=30,
        )
        return made

    def test_figures_that_build_on_each_other_are_added_up_first(self, as_director):
        shown = page(as_director, run_of(as_director, self.unfinished(in_a_row=True)))
        assert shown.context["because"][0].sentence == (
            "Six figures must come one after another, each in a lesson of its own, and there are five "
            "lessons to come that can take one: turn, then figure 0, then figure 1, then figure 2, then "
            "figure 3, then figure 4."
        )

    def test_figures_beside_each_other_are_added_up_with_what_the_rest_fills(self, as_director):
        shown = page(as_director, run_of(as_director, self.unfinished(in_a_row=False)))
        assert shown.context["because"][0].sentence.startswith(
            "Five figures must be taught, and the six lessons to come have places for four, for the rest of "
            "turn fills lesson 6: figure 0"
        )

    def test_the_natural_ways_out_stand_there(self, as_director):
        said = ways(page(as_director, run_of(as_director, self.unfinished(in_a_row=False))))
        assert any("Let lesson 7 take 2 new figures" in way.sentence for way in said)
        assert any("be left out if it must" in way.sentence for way in said)
        limits = next(way for way in said if "Let lesson 7 take" in way.sentence)
        assert limits.places[0][0] == "the course’s limits"

    def test_no_sum_is_made_where_it_does_not_add_up(self):
        needs = [Demand("need", (f"f{n + 1}", f"f{n}"), (), f"f{n + 1} needs f{n}.") for n in range(2)]
        assert not any(one.kind == "sum" for one in thoughts(needs, to_come=3))
        assert any(one.kind == "sum" for one in thoughts(needs, to_come=2))


def test_figures_best_left_out_together_are_taken_at_one_stroke(as_director, db):
    # Ten new figures, one after another, and five lessons to come that take one: five have to go.
    made = planned(figures={"box": 0} | {f"figure {n}": 6 + n % 5 for n in range(10)})
    run = run_of(as_director, made)
    way = next(way for way in ways(page(as_director, run)) if way.sentence.startswith("Leave out figure 5"))
    assert way.sentence == "Leave out figure 5, figure 6, figure 7, figure 8 and figure 9."
    take(as_director, run, way.number)
    optional = made.plan.figures.filter(required=False).values_list("figure__name", flat=True)
    assert sorted(optional) == [f"figure {n}" for n in range(5, 10)]
