"""A dance's floor is chosen, never given; all of it can be changed, and an empty dance deleted."""

import pytest
from django.urls import reverse

from curriculum.actions import create_dance
from curriculum.models import Dance, Level
from tests.factories import CourseFactory, FigureFactory, LevelFactory, PassageFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return create_dance(name="waltz", beats_per_bar=3, floor_use="spot", levels=["Beginners"])


def address(name, dance):
    return reverse(f"curriculum:{name}", args=[dance.pk])


def opened(client, dance):
    form = client.get(address("dance-edit", dance)).context["form"]
    return {name: form[name].value() or "" for name in form.fields}


def save(client, dance, **typed):
    return client.post(address("dance-edit", dance), opened(client, dance) | typed)


class TestTheFloor:
    def test_is_not_chosen_for_the_director(self, as_director):
        page = as_director.get(reverse("curriculum:dance-new"))
        assert page.context["form"]["floor_use"].value() == ""
        assert "It decides which holds the dance comes with" in page.content.decode()

    def test_must_be_chosen(self, as_director):
        form = {"name": "waltz", "beats_per_bar": 3, "beat_unit": 4}
        page = as_director.post(reverse("curriculum:dance-new"), form)
        assert page.context["form"].errors["floor_use"] == [
            "Choose one: the holds of the dance depend on it."
        ]
        assert not Dance.objects.exists()

    def test_comes_with_a_common_dance(self, as_director):
        page = as_director.get(reverse("curriculum:dance-new"), {"start": "slow waltz"})
        assert page.context["form"]["floor_use"].value() == "travels"


@pytest.mark.parametrize("note", [0, 3, 7, 5.5, "x"])
def test_a_beat_is_a_note_there_is(as_director, note):
    form = {"name": "waltz", "beats_per_bar": 3, "beat_unit": note, "floor_use": "travels"}
    assert as_director.post(reverse("curriculum:dance-new"), form).context["form"].errors["beat_unit"]


def test_a_dance_without_a_tempo_range_says_so_to_its_director(as_director, waltz):
    assert "no tempo range yet" in as_director.get(address("dance", waltz)).content.decode()


class TestAChange:
    def test_of_name_metre_phrase_tempo_and_floor(self, as_director, waltz):
        tempo = {"slowest_bars_per_minute": 28, "quickest_bars_per_minute": 30}
        floor = {"name": "slow  waltz", "beats_per_bar": 6, "beat_unit": 8, "floor_use": "travels"}
        answer = save(as_director, waltz, bars_per_phrase=4, **floor, **tempo)
        assert answer["Location"] == address("dance", waltz)
        waltz.refresh_from_db()
        assert (waltz.name, waltz.beats_per_bar, waltz.beat_unit, waltz.bars_per_phrase) == (
            *("slow waltz", 6, 8, 4),
        )
        assert (waltz.floor_use, waltz.slowest_bars_per_minute) == ("travels", 28)

    def test_of_the_floor_says_which_hold_is_usual_there_and_adds_none(self, as_director, waltz):
        answer = save(as_director, waltz, floor_use="travels")
        assert "“promenade” is usual too" in as_director.get(answer["Location"]).content.decode()
        assert not waltz.holds.filter(name="promenade").exists()

    def test_saved_as_it_was_opened_changes_nothing(self, as_director, waltz):
        before = Dance.objects.values().get()
        assert save(as_director, waltz).status_code == 302
        assert Dance.objects.values().get() == before

    @pytest.mark.parametrize(
        ("typed", "field"),
        [
            ({"name": ""}, "name"),
            ({"name": "TANGO"}, "name"),
            ({"beats_per_bar": 0}, "beats_per_bar"),
            ({"beats_per_bar": 13}, "beats_per_bar"),
            ({"bars_per_phrase": 0}, "bars_per_phrase"),
            ({"bars_per_phrase": 400}, "bars_per_phrase"),
            ({"floor_use": "air"}, "floor_use"),
            ({"slowest_bars_per_minute": 30}, "quickest_bars_per_minute"),
        ],
    )
    def test_what_is_wrong_is_said_at_the_field(self, as_director, waltz, typed, field):
        Dance.objects.create(name="tango")
        page = save(as_director, waltz, **typed)
        assert page.context["form"].errors[field]
        assert Dance.objects.get(pk=waltz.pk).name == "waltz"

    def test_between_a_slot_and_a_room_is_refused_while_ways_name_places(self, as_director, waltz):
        figure = FigureFactory(level=waltz.levels.get(), name="whisk")
        PassageFactory(figure=figure, entry_place=1)
        page = save(as_director, waltz, floor_use="slot")
        assert "Ways of whisk name a place" in page.context["form"].errors["floor_use"][0]
        assert save(as_director, waltz, floor_use="travels").status_code == 302

    def test_by_two_at_once_shows_the_second_what_stands_and_writes_nothing(self, as_director, waltz):
        form = opened(as_director, waltz)
        save(as_director, waltz, bars_per_phrase=4)
        page = as_director.post(address("dance-edit", waltz), form | {"name": "slow waltz"})
        assert page.status_code == 409
        assert [(one.label, one.stands, one.taken) for one in page.context["differ"]] == [
            ("Name", "waltz", False),
            ("Bars in a phrase", "4", True),
        ]
        assert page.context["form"]["name"].value() == "slow waltz"
        assert Dance.objects.get().name == "waltz"
        assert as_director.post(address("dance-edit", waltz), page.context["form"].data).status_code == 302
        assert Dance.objects.get().name == "slow waltz"


class TestDeleting:
    def test_an_empty_dance_goes_with_its_holds_and_levels(self, as_director, waltz):
        answer = as_director.post(address("dance-remove", waltz))
        assert answer["Location"] == reverse("curriculum:dances")
        assert not Dance.objects.exists()
        assert not Level.objects.exists()

    def test_a_dance_with_a_figure_stays(self, as_director, waltz):
        FigureFactory(level=waltz.levels.get())
        page = as_director.post(address("dance-remove", waltz), follow=True)
        assert "waltz has 1 figure. Only a dance without any can be deleted." in page.content.decode()
        assert Dance.objects.exists()

    def test_a_dance_that_a_course_teaches_stays(self, as_director, waltz):
        CourseFactory(level=LevelFactory(dance=waltz, rank=7))
        page = as_director.post(address("dance-remove", waltz), follow=True)
        assert "A course teaches waltz, so it stays." in page.content.decode()
        assert Dance.objects.exists()

    def test_is_not_done_by_looking(self, as_director, waltz):
        page = as_director.get(address("dance-remove", waltz))
        assert "Delete waltz?" in page.content.decode()
        assert Dance.objects.exists()
