"""The builder: a routine's row changed by plain forms, what can stand where, and bridges."""

import pytest
from django.urls import reverse

from curriculum.routine_writing import row_of
from tests.curriculum.built import build, names, said
from tests.factories import RoutineFactory
from tests.lessons.planned import planned

pytestmark = pytest.mark.django_db


class TestChanges:
    def test_a_figure_is_put_in_behind_the_chosen_one(self, send, routine, ways):
        answer = send("add", at=1, passages=ways["change"].pk)
        assert names(routine) == ["change", "change", "whisk", "chasse"]
        assert answer.redirect_chain[-1][0].endswith("?at=2")

    def test_at_the_start_too(self, send, routine, ways):
        send("add", at=0, passages=ways["chasse"].pk)
        assert names(routine)[0] == "chasse"

    def test_one_stands_in_the_place_of_another(self, send, routine, ways):
        send("replace", at=3, passages=ways["change"].pk)
        assert names(routine) == ["change", "whisk", "change"]

    def test_taken_out(self, send, routine):
        answer = send("out", at=2)
        assert names(routine) == ["change", "chasse"]
        assert answer.redirect_chain[-1][0].endswith("?at=1")

    @pytest.mark.parametrize(
        ("do", "at", "to", "expected"),
        [
            ("earlier", 2, "", ["whisk", "change", "chasse"]),
            ("later", 2, "", ["change", "chasse", "whisk"]),
            ("earlier", 1, "", ["change", "whisk", "chasse"]),
            ("later", 3, "", ["change", "whisk", "chasse"]),
            ("move", 1, 3, ["whisk", "chasse", "change"]),
            ("move", 3, 1, ["chasse", "change", "whisk"]),
            ("move", 1, 900, ["whisk", "chasse", "change"]),
        ],
    )
    def test_moved(self, send, routine, do, at, to, expected):
        send(do, at=at, to=to)
        assert names(routine) == expected

    def test_a_corner_is_an_item_of_no_length(self, send, routine):
        answer = send("corner", at=1)
        assert names(routine) == ["change", "corner", "whisk", "chasse"]
        assert answer.context["page"].strip.beats == 9
        send("move", at=2, to=4)
        assert names(routine) == ["change", "whisk", "chasse", "corner"]

    def test_how_it_was_looked_at_stays(self, send):
        answer = send("out", at=2, kept="clock=level&tempo=28&evil=1")
        assert answer.redirect_chain[-1][0].endswith("?at=1&clock=level&tempo=28")


class TestWhatCanFollow:
    def test_what_fits_comes_first_by_whether_it_is_taught(self, as_director, routine):
        choices = build(as_director, routine, at=2, mode="replace").context["place"].choices
        assert [(g.title, [c.name for c in g.choices]) for g in choices.fitting] == [
            ("Up to Beginners", ["whisk"])
        ]

    def test_the_rest_says_why_it_does_not_fit(self, as_director, routine):
        place = build(as_director, routine, at=3).context["place"]
        assert {c.name for g in place.choices.fitting for c in g.choices} == {"change", "whisk"}
        others = {c.name: c.reason for g in place.choices.others for c in g.choices}
        assert others["chasse"] == "Chasse leaves you closed, chasse starts in promenade."
        assert [g.title for g in place.choices.others] == ["Up to Beginners", "On higher levels"]

    def test_between_two_figures_both_joins_count(self, as_director, routine):
        place = build(as_director, routine, at=2).context["place"]
        fitting = {c.name for g in place.choices.fitting for c in g.choices}
        assert fitting == set(), "nothing goes from promenade to promenade"
        assert {c.name for g in place.choices.begun for c in g.choices} == {"chasse", "wing"}

    def test_at_the_start_it_follows_the_end_of_the_routine_below(self, as_director, routine, ways, level):
        upper = RoutineFactory(level=level, name="upper", continues=routine, dances=[ways["chasse"]])
        page = build(as_director, upper, at=1)
        assert page.context["place"].join.word == "doesn’t connect"
        assert page.context["place"].bridges[0].names == ("whisk",)
        assert "Going on from the side:" in page.content.decode()
        choices = build(as_director, upper, at=0).context["place"].choices
        assert {c.name for g in choices.fitting for c in g.choices} == {"whisk"}
        assert {c.name for g in choices.others for c in g.choices} == {"chasse", "wing"}

    def test_without_script_each_choice_is_a_button_of_a_form(self, as_director, routine, ways):
        page = build(as_director, routine, at=3).content.decode()
        assert f'<button class="choice" name="passages" value="{ways["change"].pk}">' in page

    def test_grouped_by_what_a_course_knows_and_is_to_learn(
        self, as_director, settings, routine, ways, level
    ):
        settings.TODAY = "2026-02-04"
        made = planned(level=level, figures={}, status="published", routine=routine)
        row = made.plan.figures.create(figure=ways["whisk"].figure)
        row.introductions.create(lesson=made.lessons[6])
        place = build(as_director, routine, at=3).context["place"]
        assert [g.title for g in place.choices.fitting] == [
            "To be taught before it is danced",
            "Not in this course",
        ]
        (whisk,) = place.choices.fitting[0].choices
        assert whisk.when == "planned for lesson 7, Tuesday 17 February"
        after = f"{made.course.pk}-{made.lessons[6].pk}"
        place = build(as_director, routine, at=3, clock=after).context["place"]
        assert place.choices.fitting[0].title == "Taught"


class TestMending:
    @pytest.fixture
    def broken(self, send, routine):
        send("out", at=3)
        return send("add", at=2, passages=routine.level.dance.figures.get(name="change").passages.get().pk)

    def test_a_bridge_says_its_beats_and_is_put_in_by_one_press(
        self, as_director, broken, send, routine, ways
    ):
        (bridge,) = [
            row
            for row in build(as_director, routine, at=3).context["place"].bridges
            if row.names == ("chasse",)
        ]
        assert bridge.beats == 3
        answer = send("bridge", at=3, passages=bridge.keys)
        assert names(routine) == ["change", "whisk", "chasse", "change"]
        assert answer.context["page"].strip.broken == 0

    def test_and_undone_by_one(self, as_director, broken, send, routine, ways):
        send("bridge", at=3, passages=ways["chasse"].pk)
        routine.refresh_from_db()
        undo = reverse("curriculum:routine-undo", args=[routine.pk])
        answer = as_director.post(undo, {"version": routine.version, "at": 4}, follow=True)
        assert names(routine) == ["change", "whisk", "change"]
        assert said(answer) == ["Undone: chasse was put in at place 3."]

    def test_where_nothing_taught_mends_it_says_what_would(self, as_director, broken, routine, ways):
        ways["chasse"].delete()
        ways["wing"].exit_hold = ways["change"].entry_hold
        ways["wing"].save()
        place = build(as_director, routine, at=3).context["place"]
        assert not place.bridges
        assert place.missing[0] == "If wing were taught, wing would connect it."
        assert "If promenade could turn into closed between figures, it would connect." in place.missing


@pytest.mark.parametrize("number", [2, 40])
def test_it_costs_the_same_for_any_number_of_figures(
    as_director, level, ways, number, django_assert_num_queries
):
    routine = RoutineFactory(level=level, name="long", dances=[ways["change"]] * number)
    with django_assert_num_queries(13):
        build(as_director, routine)


def test_an_instructor_builds_too(client, instructor, routine):
    client.force_login(instructor)
    address = reverse("curriculum:routine-change", args=[routine.pk])
    client.post(address, {"do": "out", "at": 3, "version": 1})
    assert names(routine) == ["change", "whisk"]
    assert row_of(routine)
