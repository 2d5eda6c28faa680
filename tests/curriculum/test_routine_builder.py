"""The builder: a routine's row changed by plain forms, what can stand where, bridges, undo, two writers."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from curriculum.models import HoldChange, Routine
from curriculum.routine_writing import change_row, create_routine, remove_routine, row_of
from lessons.models import Milestone
from tests.factories import (
    CourseFactory,
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)
from tests.lessons.planned import planned

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return DanceFactory(name="waltz", beats_per_bar=3, floor_use="travels")


@pytest.fixture
def level(waltz):
    return LevelFactory(dance=waltz, rank=1, name="Beginners")


@pytest.fixture
def closed(waltz):
    return HoldFactory(dance=waltz, key="CL", name="closed")


@pytest.fixture
def promenade(waltz):
    return HoldFactory(dance=waltz, key="PR", name="promenade")


@pytest.fixture
def ways(level, closed, promenade):
    """Passages of a small waltz, by figure; in closed hold where nothing else is said."""

    def way(name, on=level, **stances):
        figure = FigureFactory(level=on, name=name, ticks=36)
        return PassageFactory(figure=figure, **({"entry_hold": closed, "exit_hold": closed} | stances))

    upper = LevelFactory(dance=level.dance, rank=2, name="Improvers")
    return {
        "change": way("change"),
        "whisk": way("whisk", exit_hold=promenade),
        "chasse": way("chasse", entry_hold=promenade),
        "wing": way("wing", on=upper, entry_hold=promenade),
    }


@pytest.fixture
def routine(level, ways):
    return RoutineFactory(
        level=level, name="the side", dances=[ways["change"], ways["whisk"], ways["chasse"]]
    )


def names(routine):
    rows = routine.items.select_related("passage__figure").order_by("position")
    return [row.passage.figure.name if row.passage else "corner" for row in rows]


@pytest.fixture
def send(as_director, routine):
    """send(do, at=…, …) posts a change by the version that stands and gives the answer, followed."""

    def post(do, *, version=None, **fields):
        routine.refresh_from_db()
        data = {"do": do, "version": routine.version if version is None else version} | fields
        return as_director.post(reverse("curriculum:routine-change", args=[routine.pk]), data, follow=True)

    return post


def build(client, routine, **asked):
    page = client.get(reverse("curriculum:routine-build", args=[routine.pk]), asked)
    assert page.status_code == 200
    return page


def said(answer):
    return [str(message) for message in answer.context["messages"]]


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


class TestUndo:
    def undo(self, client, routine):
        routine.refresh_from_db()
        address = reverse("curriculum:routine-undo", args=[routine.pk])
        return client.post(address, {"version": routine.version, "at": 0}, follow=True)

    def test_each_undo_goes_one_change_further_back(self, as_director, send, routine):
        send("out", at=3)
        send("out", at=2)
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk"]
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk", "chasse"]
        assert said(self.undo(as_director, routine)) == ["There is nothing left to undo. Nothing was undone."]

    def test_a_change_after_an_undo_is_the_first_to_be_undone(self, as_director, send, routine, ways):
        send("out", at=3)
        self.undo(as_director, routine)
        send("add", at=3, passages=ways["change"].pk)
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk", "chasse"]

    def test_the_history_says_who_did_what_and_brings_any_version_back(self, as_director, send, routine):
        send("out", at=3)
        send("earlier", at=2)
        history = reverse("curriculum:routine-history", args=[routine.pk])
        page = as_director.get(history)
        assert [entry.changes for entry in page.context["entries"]] == [
            ("whisk moved from place 2 to place 1.",),
            ("chasse was taken out of place 3.",),
            (),
        ]
        assert "Hester Quayle" in page.content.decode()
        routine.refresh_from_db()
        back = reverse("curriculum:routine-restore", args=[routine.pk, 1])
        as_director.post(back, {"version": routine.version})
        assert names(routine) == ["change", "whisk", "chasse"]

    def test_what_is_gone_meanwhile_is_named(self, as_director, send, routine, ways):
        send("out", at=3)
        ways["chasse"].figure.delete()
        answer = self.undo(as_director, routine)
        assert "chasse is gone." in said(answer)
        assert names(routine) == ["change", "whisk"]


class TestTwoWriters:
    def test_the_second_is_shown_what_changed_and_loses_nothing(
        self, as_director, send, routine, instructor, ways
    ):
        seen = routine.version
        change_row(routine=routine, version=seen, by=instructor, change=lambda row: row[:2])
        answer = send("add", at=1, passages=ways["change"].pk, version=seen)
        assert answer.status_code == 409
        page = answer.content.decode()
        assert "Tobin Marl: chasse was taken out of place 3." in page
        assert "You wanted to put in change behind place 1." in page
        assert names(routine) == ["change", "whisk"]
        again = dict(answer.context["wanted"].again)
        send(**again)
        assert names(routine) == ["change", "change", "whisk"]

    def test_the_answer_to_a_script_is_put_into_the_page(self, as_director, routine, instructor, ways):
        change_row(routine=routine, version=1, by=instructor, change=lambda row: row[:2])
        address = reverse("curriculum:routine-change", args=[routine.pk])
        answer = as_director.post(
            address, {"do": "out", "at": 1, "version": 1}, headers={"hx-request": "true"}
        )
        assert answer.status_code == 200
        assert "You wanted to take out what stands at place 1." in answer.content.decode()

    def test_a_name_written_over_another_is_shown_first(self, as_director, routine, instructor):
        change_row(routine=routine, version=1, by=instructor, change=lambda row: row[:2])
        address = reverse("curriculum:routine-edit", args=[routine.pk])
        data = {"name": "the long side", "note": "", "continues": "", "version": 1}
        answer = as_director.post(address, data)
        assert answer.status_code == 409
        assert 'value="the long side"' in answer.content.decode()
        as_director.post(address, data | {"version": answer.context["form"]["version"].value()})
        routine.refresh_from_db()
        assert routine.name == "the long side"


class TestWrongInput:
    def test_a_routine_has_an_end(self, send, routine, director, ways):
        key = ways["change"].pk
        change_row(routine=routine, version=1, by=director, change=lambda row: (key,) * 1000)
        answer = send("add", at=1000, passages=key)
        assert said(answer) == ["A routine has at most 1,000 figures."]
        assert routine.items.count() == 1000

    def test_a_figure_of_another_dance(self, send, routine):
        other = PassageFactory(figure=FigureFactory(name="fan", level=LevelFactory(dance__name="cha-cha")))
        answer = send("add", at=1, passages=other.pk)
        assert said(answer) == ["fan is a figure of cha-cha, not of waltz."]
        assert len(names(routine)) == 3

    def test_a_figure_deleted_meanwhile(self, send, routine, ways):
        key = ways["wing"].pk
        ways["wing"].figure.delete()
        answer = send("add", at=1, passages=key)
        assert said(answer) == ["That figure, or that way through it, is not there any more. Choose again."]

    @pytest.mark.parametrize(
        ("fields", "sentence"),
        [
            ({"do": "out", "at": 9}, "There is no such place in this routine any more."),
            ({"do": "out", "at": 0}, "There is no such place in this routine any more."),
            ({"do": "add", "at": 1}, "Choose a figure first."),
            ({"do": "add", "at": 1, "passages": "x"}, "That figure is not there any more. Choose again."),
            ({"do": "move", "at": 1, "to": ""}, "Write the number of a place."),
            ({"do": "move", "at": 1, "to": "first"}, "Write the number of a place."),
            ({"do": "move", "at": 1, "to": 0}, "The first place is 1."),
            ({"do": "fly", "at": 1}, "This is not among the choices. Choose again."),
        ],
    )
    def test_whatever_else_is_sent_gets_a_sentence(self, send, routine, fields, sentence):
        assert said(send(**fields)) == [sentence]
        assert names(routine) == ["change", "whisk", "chasse"]

    @pytest.mark.parametrize(
        ("asked", "field", "sentence"),
        [
            ({"tempo": "fast"}, "tempo", "This is not a number."),
            ({"tempo": "3"}, "tempo", "Write 5 or more."),
            ({"length": "2:75"}, "length", "Write a length as minutes and seconds, like 2:45."),
            ({"length": "50:00"}, "length", "A piece lasts up to 30 minutes."),
        ],
    )
    def test_an_impossible_tempo_or_length_is_said_at_its_field(
        self, as_director, routine, asked, field, sentence
    ):
        page = build(as_director, routine, **asked)
        assert page.context["look"].form.errors[field] == [sentence]
        assert sentence in page.content.decode()

    def test_a_second_routine_of_a_name(self, as_director, routine, level):
        address = reverse("curriculum:routine-new", args=[level.pk])
        page = as_director.post(address, {"name": "the side", "note": "n", "continues": ""})
        assert page.context["form"].errors["name"] == ["Beginners has a routine called the side already."]

    def test_a_routine_never_goes_on_from_itself(self, as_director, routine, level, director):
        upper = create_routine(level=level, name="upper", by=director, continues=routine)
        address = reverse("curriculum:routine-edit", args=[routine.pk])
        page = as_director.post(
            address, {"name": "the side", "note": "", "continues": upper.pk, "version": routine.version}
        )
        assert page.context["form"].errors["continues"] == ["Then it would go on from itself."]


class TestBeginningAndEnding:
    def test_a_new_routine_leads_to_its_builder(self, as_director, level):
        address = reverse("curriculum:routine-new", args=[level.pk])
        answer = as_director.post(address, {"name": "the other side", "note": "", "continues": ""})
        made = Routine.objects.get(name="the other side")
        assert answer.url == reverse("curriculum:routine-build", args=[made.pk])

    def test_one_that_a_course_dances_stays(self, as_director, routine, level):
        CourseFactory(level=level, routine=routine, name="Tuesdays")
        answer = as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]), follow=True)
        assert said(answer) == ["Tuesdays dances it, so it stays."]
        assert Routine.objects.filter(pk=routine.pk).exists()

    def test_one_that_another_goes_on_from_stays(self, as_director, routine, level, director):
        create_routine(level=level, name="upper", by=director, continues=routine)
        answer = as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]), follow=True)
        assert said(answer) == ["upper goes on from it, so it stays."]

    def test_any_other_goes_with_its_history(self, as_director, send, routine):
        send("out", at=1)
        as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]))
        assert not Routine.objects.filter(pk=routine.pk).exists()

    def test_removal_asks_every_kind_of_row_that_names_a_routine(self, routine, level):
        course = CourseFactory(level=level)
        Milestone.objects.create(course=course, name="the party", day="2026-02-03", routine=routine)
        with pytest.raises(ValidationError, match="the party"):
            remove_routine(routine)


class TestRecheck:
    def test_a_changed_way_says_which_routine_no_longer_connects(self, as_director, routine, ways, promenade):
        address = reverse("curriculum:passages", args=[ways["change"].figure_id])
        way = ways["change"]
        data = {
            "version": way.figure.version,
            "way-TOTAL_FORMS": 1,
            "way-INITIAL_FORMS": 1,
            "way-0-pk": way.pk,
            "way-0-entry_hold": way.entry_hold_id,
            "way-0-exit_hold": promenade.pk,
        }
        answer = as_director.post(address, data, follow=True)
        assert said(answer) == [
            "Saved.",
            "the side no longer connects: Change leaves you in promenade, whisk starts closed.",
        ]

    def test_a_free_change_taken_away_too(self, as_director, routine, ways, closed, promenade):
        HoldChange.objects.create(hold=closed, into=promenade)
        ways["whisk"].exit_hold = closed
        ways["whisk"].save()
        address = reverse("curriculum:hold-edit", args=[closed.pk])
        stands = as_director.get(address).context["form"].initial | {"turns_into": []}
        answer = as_director.post(address, stands, follow=True)
        assert any("the side no longer connects" in sentence for sentence in said(answer))


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
