"""The holds of a dance: added, renamed, told how partners face and what turns into what, removed."""

import pytest
from django.urls import reverse

from curriculum.actions import create_dance
from curriculum.models import ChartStep, Hold, HoldChange, StepChart
from curriculum.problems import floor_of
from tests.factories import FigureFactory, HoldFactory, PassageFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def cha_cha(school):
    return create_dance(name="cha-cha", floor_use="spot", levels=["Beginners"])


def hold(dance, name):
    return dance.holds.get(name=name)


def add(client, dance, **typed):
    return client.post(reverse("curriculum:hold-new", args=[dance.pk]), {"facing": "4"} | typed)


def opened(client, row):
    form = client.get(reverse("curriculum:hold-edit", args=[row.pk])).context["form"]
    typed = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in typed.items() if value not in (None, False)}


def change(client, row, **typed):
    return client.post(reverse("curriculum:hold-edit", args=[row.pk]), opened(client, row) | typed)


class TestTwoWriters:
    def test_the_second_is_shown_both_in_words_and_loses_nothing(self, as_director, cha_cha):
        fan, apart = hold(cha_cha, "fan"), hold(cha_cha, "apart")
        began = opened(as_director, fan)
        change(as_director, fan, facing="4", turns_into=[apart.pk])
        address = reverse("curriculum:hold-edit", args=[fan.pk])
        page = as_director.post(address, began | {"name": "open fan"})
        assert page.status_code == 409
        assert [(one.label, one.stands, one.typed) for one in page.context["differ"]] == [
            ("Name", "fan", "open fan"),
            ("The partners face", "each other", "¼ apart, follower to the right (fan)"),
            ("It turns freely into", "apart", ""),
        ]
        fan.refresh_from_db()
        assert fan.name == "fan"
        seen = page.context["form"]["began_from"].value()
        as_director.post(address, began | {"name": "open fan", "began_from": seen})
        fan.refresh_from_db()
        assert (fan.name, fan.facing) == ("open fan", 2)

    def test_a_free_change_written_on_the_other_holds_page_is_seen(self, as_director, cha_cha):
        fan, closed = hold(cha_cha, "fan"), hold(cha_cha, "closed")
        began = opened(as_director, fan)
        change(as_director, closed, turns_into=[fan.pk])
        answer = as_director.post(reverse("curriculum:hold-edit", args=[fan.pk]), began)
        assert [one.label for one in answer.context["differ"]] == ["These turn freely into it"]

    def test_a_new_one_has_nothing_to_be_second_to(self, as_director, cha_cha):
        assert add(as_director, cha_cha, name="basket").status_code == 302


def remove(client, row):
    return client.post(reverse("curriculum:hold-remove", args=[row.pk]), follow=True)


class TestThePage:
    def test_says_how_partners_face_what_turns_into_what_and_who_uses_it(self, as_director, cha_cha):
        figure = FigureFactory(level=cha_cha.levels.get())
        PassageFactory(figure=figure, entry_hold=hold(cha_cha, "closed"), exit_hold=hold(cha_cha, "fan"))
        page = as_director.get(reverse("curriculum:holds", args=[cha_cha.pk]))
        rows = {row.hold.name: row for row in page.context["rows"]}
        assert (rows["closed"].facing, rows["closed"].into) == ("each other", ("two-hand", "left-to-right"))
        assert rows["apart"].facing == "anywhere"
        assert {name for name, row in rows.items() if row.figures} == {"closed", "fan"}

    def test_offers_usual_holds_that_are_missing(self, as_director, cha_cha):
        hold(cha_cha, "fan").delete()
        page = as_director.get(reverse("curriculum:holds", args=[cha_cha.pk])).content.decode()
        assert "add “fan”" in page
        assert "add “promenade”" not in page

    def test_an_instructor_reads_it_without_being_offered_to_change_it(self, client, instructor, cha_cha):
        client.force_login(instructor)
        page = client.get(reverse("curriculum:holds", args=[cha_cha.pk])).content.decode()
        assert "left-to-right" in page
        assert "Add a hold" not in page

    @pytest.mark.parametrize("more", [0, 30])
    def test_costs_the_same_for_any_number_of_holds(
        self, as_director, cha_cha, more, django_assert_num_queries
    ):
        HoldFactory.create_batch(more, dance=cha_cha)
        with django_assert_num_queries(11):
            as_director.get(reverse("curriculum:holds", args=[cha_cha.pk]))


class TestANewHold:
    def test_of_a_usual_name_begins_as_it_usually_is(self, as_director, cha_cha):
        address = reverse("curriculum:hold-new", args=[cha_cha.pk])
        form = as_director.get(address, {"name": "promenade"}).context["form"]
        assert (form["name"].value(), form["facing"].value()) == ("promenade", "6")

    def test_is_there_with_its_free_changes_both_ways(self, as_director, cha_cha):
        closed, two_hand = hold(cha_cha, "closed"), hold(cha_cha, "two-hand")
        ways = {"turns_into": [closed.pk], "turned_into_from": [two_hand.pk]}
        add(as_director, cha_cha, name="  close  embrace ", **ways)
        made = hold(cha_cha, "close embrace")
        assert (made.key, made.facing, made.same_foot) == ("CE", 4, False)
        floor = floor_of(cha_cha)
        assert floor.frees("close embrace", "closed")
        assert floor.frees("two-hand", "close embrace")
        assert not floor.frees("closed", "close embrace")

    def test_has_a_key_of_its_own_though_its_letters_are_taken(self, as_director, cha_cha):
        for name in ("close embrace", "cross elbows"):
            add(as_director, cha_cha, name=name)
        assert hold(cha_cha, "cross elbows").key == "CE2"

    @pytest.mark.parametrize(
        ("typed", "field", "said"),
        [
            ({"name": ""}, "name", ""),
            ({"name": "CLOSED"}, "name", "cha-cha has a hold called “closed” already."),
            ({"name": "lr"}, "name", "cha-cha has a hold called “left-to-right” already."),
            ({"name": "any"}, "name", "“any” means any hold"),
            ({"name": "one; two"}, "name", "A name cannot have a semicolon in it"),
            ({"facing": ""}, "facing", "Say how the partners face"),
            ({"facing": "9"}, "facing", "Say how the partners face"),
        ],
    )
    def test_what_is_wrong_is_said_at_the_field(self, as_director, cha_cha, typed, field, said):
        before = Hold.objects.count()
        page = add(as_director, cha_cha, **{"name": "embrace"} | typed)
        assert said in page.context["form"].errors[field][0]
        assert Hold.objects.count() == before


class TestAChange:
    def test_of_the_name_keeps_the_key_the_ways_and_the_free_changes(self, as_director, cha_cha):
        closed = hold(cha_cha, "closed")
        way = PassageFactory(figure=FigureFactory(level=cha_cha.levels.get()), entry_hold=closed)
        before = set(HoldChange.objects.values_list("hold", "into"))
        change(as_director, closed, name="ballroom hold")
        way.refresh_from_db()
        assert (way.entry_hold.name, way.entry_hold.key) == ("ballroom hold", "CL")
        assert set(HoldChange.objects.values_list("hold", "into")) == before

    def test_of_how_partners_face_and_of_the_feet(self, as_director, cha_cha):
        fan = hold(cha_cha, "fan")
        change(as_director, fan, facing="free", same_foot="on")
        fan.refresh_from_db()
        assert (fan.facing, fan.same_foot) == (None, True)

    def test_of_the_free_changes(self, as_director, cha_cha):
        change(as_director, hold(cha_cha, "closed"), turns_into=[hold(cha_cha, "wrap").pk])
        floor = floor_of(cha_cha)
        assert floor.frees("closed", "wrap")
        assert not floor.frees("closed", "two-hand")

    def test_into_a_hold_of_another_dance_cannot_be_chosen(self, as_director, cha_cha):
        page = change(as_director, hold(cha_cha, "closed"), turns_into=[HoldFactory().pk])
        assert page.context["form"].errors["turns_into"]


class TestRemoving:
    def test_a_hold_nobody_uses_goes(self, as_director, cha_cha):
        assert "wrap is gone." in remove(as_director, hold(cha_cha, "wrap")).content.decode()
        assert not cha_cha.holds.filter(name="wrap").exists()

    def test_a_hold_of_a_way_stays(self, as_director, cha_cha):
        figure = FigureFactory(level=cha_cha.levels.get(), name="alemana")
        PassageFactory(figure=figure, exit_hold=hold(cha_cha, "fan"))
        page = remove(as_director, hold(cha_cha, "fan")).content.decode()
        assert "alemana use “fan”, so it stays." in page
        assert "Remove this hold" not in page

    def test_a_hold_that_a_chart_changes_into_stays(self, as_director, cha_cha):
        chart = StepChart.objects.create(figure=FigureFactory(level=cha_cha.levels.get()))
        wrap = hold(cha_cha, "wrap")
        ChartStep.objects.create(
            chart=chart, role="L", position=0, count="1", ticks=12, action="step", hold=wrap
        )
        remove(as_director, wrap)
        assert cha_cha.holds.filter(name="wrap").exists()

    def test_is_not_done_by_looking(self, as_director, cha_cha):
        address = reverse("curriculum:hold-remove", args=[hold(cha_cha, "wrap").pk])
        assert "Remove the hold wrap?" in as_director.get(address).content.decode()
        assert cha_cha.holds.filter(name="wrap").exists()
