"""A figure's ways in and out are written on one page; what a chart tells is derived, never typed."""

import pytest
from django.urls import reverse

from curriculum.models import ChartStep, Figure, Passage, StepChart
from curriculum.passage_form import passage_forms
from lessons.demo.dance_rows import load_dance
from lessons.demo.load import DANCES
from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return DanceFactory(name="waltz", floor_use="travels", beats_per_bar=3)


@pytest.fixture
def closed(waltz):
    return HoldFactory(dance=waltz, key="CL", name="closed", facing=4)


@pytest.fixture
def promenade(waltz):
    return HoldFactory(dance=waltz, key="PR", name="promenade", facing=6)


@pytest.fixture
def whisk(waltz):
    return FigureFactory(level=LevelFactory(dance=waltz, rank=1), name="whisk", ticks=36)


def typed(figure, *changes, version=None):
    """The page as it would be sent: its forms as they stand, each with these changes, the last one new."""
    forms = passage_forms(figure)
    sent = {f"{forms.prefix}-TOTAL_FORMS": len(forms), f"{forms.prefix}-INITIAL_FORMS": len(forms) - 1}
    sent["version"] = figure.version if version is None else version
    for place, form in enumerate(forms):
        values = {name: form[name].value() for name in form.fields}
        values |= changes[place] if place < len(changes) else {}
        sent |= {form.add_prefix(name): "" if value is None else value for name, value in values.items()}
    return {name: value for name, value in sent.items() if value is not False}


def save(client, figure, *changes, **more):
    return client.post(reverse("curriculum:passages", args=[figure.pk]), typed(figure, *changes, **more))


def one_bar(figure, *, turn=0, place=None):
    """A chart of three steps, the leader's left foot first, turning on the second."""
    chart = StepChart.objects.create(figure=figure)
    for role, feet in (("L", "LRL"), ("F", "RLR")):
        for position, foot in enumerate(feet):
            ChartStep.objects.create(
                chart=chart,
                role=role,
                position=position,
                count=str(position + 1),
                ticks=12,
                foot=foot,
                action="step",
                turn=turn if position == 1 else 0,
            )
    return chart


class TestAWay:
    def test_is_added_with_all_it_says(self, as_director, whisk, closed, promenade):
        new = {
            "label": "to promenade",
            "ticks": "3",
            "entry_hold": closed.pk,
            "entry_foot": "L",
            "entry_place": "1",
        }
        new |= {"exit_hold": promenade.pk, "exit_foot": "R", "exit_place": "2", "give": "1"}
        answer = save(as_director, whisk, new)
        assert answer["Location"] == reverse("curriculum:figure", args=[whisk.pk])
        way = Passage.objects.get()
        assert (way.label, way.ticks, way.entry_hold, way.entry_foot, way.entry_place) == (
            "to promenade",
            36,
            closed,
            "L",
            1,
        )
        assert (way.exit_hold, way.exit_foot, way.exit_place, way.give) == (promenade, "R", 2, 1)
        assert Figure.objects.get().version == 2

    def test_an_empty_new_one_is_not_written(self, as_director, whisk):
        save(as_director, whisk)
        assert not Passage.objects.exists()

    def test_is_changed_in_its_place(self, as_director, whisk, closed):
        first, second = PassageFactory(figure=whisk, position=3), PassageFactory(figure=whisk, position=7)
        save(as_director, whisk, {}, {"label": "other", "entry_hold": closed.pk}, {"label": "third"})
        assert list(whisk.passages.values_list("pk", "position", "label"))[:2] == [
            (first.pk, 3, ""),
            (second.pk, 7, "other"),
        ]
        assert whisk.passages.get(position=8).label == "third"

    def test_is_taken_out(self, as_director, whisk):
        PassageFactory(figure=whisk)
        save(as_director, whisk, {"remove": "on"})
        assert not Passage.objects.exists()

    def test_that_a_routine_dances_is_not_taken_out_and_nothing_else_is_written(self, as_director, whisk):
        way = PassageFactory(figure=whisk)
        RoutineFactory(level=whisk.level, name="party piece", dances=[way, way])
        page = save(as_director, whisk, {"remove": "on"}, {"label": "typed too"})
        assert page.context["forms"][0].errors["remove"] == [
            "It is danced in “party piece”. Take it out there first."
        ]
        assert "typed too" in page.content.decode()
        assert Passage.objects.count() == 1
        assert Figure.objects.get().version == 1

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"ticks": "4.3"}, "ticks"),
            ({"give": "5"}, "give"),
            ({"entry_hold": "99999"}, "entry_hold"),
            ({"entry_place": "8"}, "entry_place"),
            ({"exit_foot": "B"}, "exit_foot"),
            ({"label": "x" * 41}, "label"),
        ],
    )
    def test_what_is_wrong_is_said_at_the_field_and_nothing_typed_is_lost(
        self, as_director, whisk, change, field
    ):
        page = save(as_director, whisk, {"label": "kept"} | change)
        assert page.context["forms"][0].errors[field]
        assert change.get("label", "kept") in page.content.decode()
        assert not Passage.objects.exists()

    def test_a_hold_of_another_dance_cannot_be_chosen(self, as_director, whisk):
        page = save(as_director, whisk, {"exit_hold": HoldFactory().pk})
        assert page.context["forms"][0].errors["exit_hold"]


class TestWithAChart:
    def test_length_foot_and_place_are_not_asked_for(self, as_director, whisk, closed):
        PassageFactory(figure=whisk, entry_hold=closed, entry_foot="L", entry_place=1, chart=one_bar(whisk))
        page = as_director.get(reverse("curriculum:passages", args=[whisk.pk]))
        fields = set(page.context["forms"][0].fields)
        assert not fields & {"ticks", "exit_foot", "exit_place"}
        assert {"ticks", "exit_foot", "exit_place"} <= set(page.context["forms"][1].fields)

    def test_a_new_beginning_leads_to_a_new_end(self, as_director, whisk, closed):
        chart = one_bar(whisk, turn=-2)
        way = PassageFactory(figure=whisk, entry_hold=closed, entry_foot="L", entry_place=1, chart=chart)
        save(as_director, whisk, {"entry_place": "5"})
        way.refresh_from_db()
        assert (way.exit_foot, way.exit_place) == ("R", 3)

    def test_on_a_slot_the_end_is_asked_for_where_the_turn_cannot_tell_it(self, as_director, whisk, closed):
        whisk.dance.floor_use = "slot"
        whisk.dance.save()
        wrap = HoldFactory(dance=whisk.dance, name="wrap", facing=0)
        chart = one_bar(whisk, turn=4)
        for place, end in enumerate((closed, wrap)):
            PassageFactory(
                figure=whisk, position=place, entry_hold=closed, entry_place=0, exit_hold=end, chart=chart
            )
        save(as_director, whisk, {}, {"exit_place": "0"})
        assert list(whisk.passages.values_list("exit_place", flat=True)) == [1, 0]

    def test_in_a_dance_on_the_spot_no_place_is_asked_for(self, as_director, whisk):
        whisk.dance.floor_use = "spot"
        whisk.dance.save()
        page = as_director.get(reverse("curriculum:passages", args=[whisk.pk]))
        assert not {"entry_place", "exit_place"} & set(page.context["forms"][0].fields)

    def test_saving_the_demo_school_s_ways_unchanged_changes_none(self, as_director, school):
        """What is derived from the demo's charts is what its files say."""
        for name in DANCES:
            load_dance(name)
        before = list(Passage.objects.order_by("pk").values())
        for figure in Figure.objects.filter(charts__isnull=False).distinct():
            assert save(as_director, figure).status_code == 302
        assert list(Passage.objects.order_by("pk").values()) == before


class TestTwoAtOnce:
    def test_the_second_is_shown_what_the_first_did_and_loses_nothing(self, as_director, whisk):
        PassageFactory(figure=whisk, label="old")
        save(as_director, whisk, {"label": "the first one's"})
        page = save(as_director, whisk, {"label": "the second one's"}, version=1)
        text = page.content.decode()
        assert page.status_code == 409
        assert "You changed this figure since, in another window or before you went back." in text
        assert "the first one&#x27;s" in text
        assert page.context["forms"][0]["label"].value() == "the second one's"
        assert Passage.objects.get().label == "the first one's"

    def test_having_seen_it_the_second_may_save(self, as_director, whisk):
        way = PassageFactory(figure=whisk, label="old")
        save(as_director, whisk, {"label": "first"})
        page = save(as_director, whisk, {"label": "second"}, version=1)
        save(as_director, whisk, {"label": "second"}, version=page.context["version"])
        way.refresh_from_db()
        assert way.label == "second"


class TestWhoMay:
    def test_an_instructor_may_neither_open_nor_save_it(self, client, instructor, school, whisk):
        client.force_login(instructor)
        address = reverse("curriculum:passages", args=[whisk.pk])
        assert (client.get(address).status_code, client.post(address).status_code) == (403, 403)

    def test_it_is_got_or_sent_and_nothing_else(self, as_director, whisk):
        assert as_director.put(reverse("curriculum:passages", args=[whisk.pk])).status_code == 405

    def test_a_technique_has_no_ways(self, as_director, whisk):
        whisk.kind, whisk.ticks = "technique", None
        whisk.save()
        assert as_director.get(reverse("curriculum:passages", args=[whisk.pk])).status_code == 404

    def test_what_is_not_a_page_of_forms_writes_nothing(self, as_director, whisk):
        page = as_director.post(reverse("curriculum:passages", args=[whisk.pk]), {"version": 1})
        assert page.status_code == 200
        assert Figure.objects.get().version == 1


@pytest.mark.parametrize("ways", [1, 20])
def test_the_page_costs_the_same_for_any_number_of_ways(
    as_director, whisk, closed, ways, django_assert_num_queries
):
    chart = one_bar(whisk)
    for position in range(ways):
        PassageFactory(figure=whisk, position=position, entry_hold=closed, exit_hold=closed, chart=chart)
    with django_assert_num_queries(7):
        assert as_director.get(reverse("curriculum:passages", args=[whisk.pk])).status_code == 200
