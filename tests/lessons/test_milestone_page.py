"""Milestones of a course are set on a page of their own and stand on the ruler and on the rows they bind."""

import pytest
from django.urls import reverse

from lessons.models import Milestone
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")


def send(client, address, made, **changes):
    figures = [made.row("whisk").figure_id]
    data = {"version": 0, "name": "showcase", "day": "2026-03-01", "figures": figures} | changes
    return client.post(address, data)


def new(client, made, **changes):
    return send(client, reverse("lessons:milestone-new", args=[made.course.pk]), made, **changes)


def test_it_is_set_and_stands_on_the_ruler_and_on_the_row(as_director):
    made = planned()
    assert new(as_director, made).status_code == 302
    board = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).context["board"]
    assert [stone for week in board.weeks for stone in week.milestones] == ["showcase"]
    asked = {row.name: row.asked for row in board.rows}
    assert asked["whisk"] == ("by lesson 8 for showcase",)
    assert asked["turn"] == ()


def test_what_comes_too_late_for_it_does_not_fit(as_director):
    made = planned(figures={"box": 0, "turn": 5, "whisk": 9})
    new(as_director, made)
    board = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).context["board"]
    assert any("must begin by lesson 8" in finding.sentence for finding in board.findings)


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"day": "2026-05-01"}, "day", "ends on"),
        ({"day": "2026-01-01"}, "day", "nothing can be taught before it"),
        ({"day": "tomorrow"}, "day", "not a date"),
        ({"figures": []}, "figures", "Choose a routine, or at least one figure"),
        ({"figures": [10**9]}, "figures", "not there any more"),
        ({"name": ""}, "name", "Fill this in"),
        ({"name": "x" * 81}, "name", "At most 80 letters"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_is_written(as_director, wrong, field, said):
    made = planned()
    page = new(as_director, made, **wrong)
    assert any(said in error for error in page.context["form"].errors[field])
    assert not Milestone.objects.exists()


def test_the_second_writer_is_told_and_may_put_theirs_over(as_director):
    made = planned()
    new(as_director, made)
    stone = Milestone.objects.get()
    address = reverse("lessons:milestone", args=[stone.pk])
    assert send(as_director, address, made, version=1, name="test night").status_code == 302
    page = send(as_director, address, made, version=1, name="party")
    assert "Somebody else saved this milestone" in page.content.decode()
    assert Milestone.objects.get().name == "test night"
    version = page.context["form"]["version"].value()
    assert send(as_director, address, made, version=version, name="party").status_code == 302
    assert Milestone.objects.get().name == "party"


def test_it_is_taken_out(as_director):
    made = planned()
    new(as_director, made)
    stone = Milestone.objects.get()
    address = reverse("lessons:milestone-remove", args=[stone.pk])
    assert as_director.post(address, {"version": "9"}).url == reverse("lessons:milestone", args=[stone.pk])
    as_director.post(address, {"version": "1"})
    assert not Milestone.objects.exists()


@pytest.mark.parametrize("figures", [1, 6])
def test_the_page_costs_the_same_queries_at_any_size(as_director, figures, django_assert_num_queries):
    made = planned(figures={f"figure {number}": 5 for number in range(figures)})
    with django_assert_num_queries(10):
        as_director.get(reverse("lessons:milestone-new", args=[made.course.pk]))
