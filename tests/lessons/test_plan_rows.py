"""What a row of the register offers and shows: its marks, what is asked of it, with whom it goes."""

import pytest
from django.urls import reverse

from tests.factories import FigureFactory, PlanFigureFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.usefixtures("story_day")

HTMX = {"HTTP_HX_REQUEST": "true"}


def test_marks_to_come_are_links_to_the_card_and_name_what_they_need(as_director):
    made = planned()
    shown = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
    card = reverse("lessons:plan-figure", args=[made.plan.pk, made.row("whisk").figure_id])
    assert f'<a href="{card}" data-mark="new" class="mark new planned">New</a>' in shown
    assert f'data-needs="{made.row("turn").figure_id}"' in shown


def test_who_only_reads_gets_no_marks_to_move(client, instructor, school):
    made = planned(taught_by=[instructor])
    client.force_login(instructor)
    shown = client.get(reverse("lessons:plan", args=[made.plan.pk])).content.decode()
    assert "data-mark" not in shown
    assert "data-move" not in shown


def test_a_narrow_screen_reads_it_lesson_by_lesson(as_director):
    made = planned(figures={"box": 0, "turn": 5, "whisk": None})
    board = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).context["board"]
    assert [one.column.number for one in board.been] == [1, 2, 3, 4, 5]
    assert [item.row.name for item in board.coming[0].new] == ["turn"]
    assert [row.name for row in board.unplaced] == ["whisk"]


def test_what_is_asked_of_a_figure_stands_on_its_row(as_director):
    made = planned()
    PlanFigureFactory(
        plan=made.plan,
        figure=FigureFactory(level=made.course.levels.get(), name="sway", minutes_to_introduce=12),
        required=False,
        importance=3,
        parts=2,
        earliest=made.lessons[6],
        latest=made.lessons[8],
        pinned=made.lessons[7],
    )
    board = as_director.get(reverse("lessons:plan", args=[made.plan.pk])).context["board"]
    asked = next(row.asked for row in board.rows if row.name == "sway")
    assert asked == (
        "optional",
        "in 2 parts",
        "matters more than others",
        "kept in lesson 8",
        "not before lesson 7",
        "begun by lesson 9",
    )


class TestCompany:
    def card(self, made, name):
        return reverse("lessons:plan-figure", args=[made.plan.pk, made.row(name).figure_id])

    def save(self, client, made, name, **changes):
        """Save the card of a figure as a browser would, with these fields changed."""
        form = client.get(self.card(made, name)).context["form"]
        data = {}
        for field in form:
            value = field.value()
            data[field.html_name] = value
            if field.field.show_hidden_initial:
                data[field.html_initial_name] = value
        data = {key: value for key, value in (data | changes).items() if value not in (None, False)}
        return client.post(self.card(made, name), data, **HTMX)

    def asked(self, client, made, name):
        board = client.get(reverse("lessons:plan", args=[made.plan.pk])).context["board"]
        return next(row.asked for row in board.rows if row.name == name)

    def test_these_two_together_stands_on_both_rows(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 6, "sway": 7})
        self.save(as_director, made, "whisk", together=[made.row("sway").pk])
        assert self.asked(as_director, made, "whisk") == ("with sway",)
        assert self.asked(as_director, made, "sway") == ("with whisk",)

    def test_never_two_on_one_evening_is_set_and_taken_away_again(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 6, "sway": 7})
        self.save(as_director, made, "whisk", apart=[made.row("sway").pk, made.row("turn").pk])
        assert self.asked(as_director, made, "whisk") == ("never with sway and turn",)
        self.save(as_director, made, "whisk", apart=[])
        assert self.asked(as_director, made, "whisk") == ()

    def test_both_at_once_is_refused_at_the_field_and_nothing_is_half_saved(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 6, "sway": 7})
        sway = made.row("sway").pk
        page = self.save(as_director, made, "whisk", together=[sway], apart=[sway], importance=9)
        assert "cannot both belong on one evening" in page.content.decode()
        assert made.row("whisk").importance == 1
        assert not made.plan.sets.exists()
        assert not made.plan.steps.exists()

    def test_one_card_saved_is_one_step(self, as_director):
        made = planned(figures={"box": 0, "turn": 5, "whisk": 6, "sway": 7})
        self.save(as_director, made, "whisk", together=[made.row("sway").pk], lesson=made.lessons[7].pk)
        assert made.plan.steps.get().said == [
            "whisk went from lesson 7 to lesson 8.",
            "whisk and sway belong on one evening.",
        ]
