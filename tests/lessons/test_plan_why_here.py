"""Why is this figure here? The nearest better lesson, and what stands in its way."""

import pytest
from django.urls import reverse

from curriculum.models import Figure, Prerequisite
from lessons.actions.plans import move_introduction
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


def ask(client, made, name, **headers):
    address = reverse("lessons:plan-why", args=[made.plan.pk, made.row(name).figure_id])
    return client.get(address, **headers)


def why(client, made, name):
    return ask(client, made, name).context["why"]


def laid(director, figures):
    """A draft in which what is to come has its reviews."""
    made = planned(figures=figures)
    for name, index in figures.items():
        if index >= 5:
            row, lesson = made.row(name), made.lessons[index]
            move_introduction(
                plan=made.plan, version=made.plan.version, plan_figure=row, lesson=lesson, by=director
            )
    return made


def test_a_better_lesson_that_is_free_is_named(as_director, director):
    """Two lessons later it would stand beside less."""
    made = laid(director, {"box": 0, "turn": 5, "sway": 7, "whisk": 6})
    Prerequisite.objects.all().delete()
    told = why(as_director, made, "sway")
    assert (told.number, told.better.number, told.better.against) == (8, 9, "")
    assert [cost.sentence for cost in told.better.costs] == [
        "Minutes in the fullest lesson: 20 → 16 (better)"
    ]
    shown = ask(as_director, made, "sway").content.decode()
    assert "would be better" in shown
    assert "Nothing stands in its way" in shown


def test_what_stands_in_the_way_of_a_better_one_is_said(as_director, director):
    made = laid(director, {"box": 0, "turn": 5, "whisk": 6})
    told = why(as_director, made, "turn")
    assert (told.number, told.better.number) == (6, 10)
    assert "whisk begins in lesson 7 and needs turn in an earlier lesson" in told.better.against


def test_where_nothing_is_better_its_neighbours_are_told(as_director):
    made = planned(figures={"box": 0, "turn": 6})
    Figure.objects.update(minutes_to_review=0)
    told = why(as_director, made, "turn")
    assert told.better is None
    assert (told.before.number, told.behind.number) == (6, 8)
    assert "No lesson would be better" in ask(as_director, made, "turn").content.decode()


def test_what_was_taught_is_not_chosen_any_more(as_director):
    shown = ask(as_director, planned(), "box").content.decode()
    assert "nothing to choose any more" in shown


def test_a_figure_in_no_lesson_is_told_the_nearest_that_would_take_it(as_director):
    made = planned(figures={"box": 0, "turn": None})
    told = why(as_director, made, "turn")
    assert (told.number, told.better.number) == (None, 6)


def test_the_card_leads_there_and_only_the_answer_is_sent_to_it(as_director):
    made = planned()
    card = reverse("lessons:plan-figure", args=[made.plan.pk, made.row("whisk").figure_id])
    assert reverse("lessons:plan-why", args=[made.plan.pk, made.row("whisk").figure_id]) in (
        as_director.get(card, HTTP_HX_REQUEST="true").content.decode()
    )
    assert "<html" not in ask(as_director, made, "whisk", HTTP_HX_REQUEST="true").content.decode()


def test_a_figure_the_plan_does_not_teach_is_not_there(as_director):
    made, other = planned(), planned()
    address = reverse("lessons:plan-why", args=[made.plan.pk, other.row("whisk").figure_id])
    assert as_director.get(address).status_code == 404


@pytest.mark.parametrize(("figures", "lessons"), [(2, 8), (12, 14)])
def test_it_costs_the_same_queries_at_any_size(as_director, figures, lessons, django_assert_num_queries):
    made = planned(figures={f"figure {number}": 5 for number in range(figures)}, lessons=lessons)
    with django_assert_num_queries(23):
        ask(as_director, made, "figure 1")
