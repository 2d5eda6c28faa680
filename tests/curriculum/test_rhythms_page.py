"""A dance’s rhythms and tempo: they come with a common dance, and a school adds and draws its own."""

import pytest
from django.urls import reverse

from curriculum.actions import create_dance
from curriculum.models import Dance, Rhythm
from curriculum.rhythm_picture import BEAT, SIDE, rhythm_picture
from curriculum.rules.rhythm import unusual
from curriculum.standard import DANCES, RHYTHMS, standard_dance
from tests.factories import CourseFactory, DanceFactory, EnrolmentFactory, LevelFactory

CHA_CHA = (("2", 12), ("3", 12), ("4", 6), ("&", 6), ("1", 12))


@pytest.fixture
def waltz(school):
    return DanceFactory(
        name="waltz", beats_per_bar=3, slowest_bars_per_minute=28, quickest_bars_per_minute=30
    )


def typed(**change):
    form = {
        "name": "hesitation",
        "counts": "1 2 3",
        "lengths": "1 1 1",
        "begins_on_beat": 1,
        "source": "ours",
    }
    return form | change


def add(client, dance, **change):
    return client.post(reverse("curriculum:rhythm-new", args=[dance.pk]), typed(**change))


def text_of(client, dance):
    page = client.get(reverse("curriculum:rhythms", args=[dance.pk]))
    assert page.status_code == 200
    return " ".join(page.content.decode().split())


class TestWhatIsUnusual:
    def test_a_unit_that_says_its_numbers_on_their_beats_is_not(self):
        assert unusual(CHA_CHA, begins_on_beat=2, beats_per_bar=4) == ()

    def test_numbers_may_be_said_on_past_the_bar(self):
        assert unusual([("4", 12), ("5", 12), ("6", 12)], begins_on_beat=1, beats_per_bar=3) == ()

    def test_a_number_on_another_beat_than_its_own(self):
        said = unusual(CHA_CHA, begins_on_beat=1, beats_per_bar=4)
        assert said[0] == "“2” is said on beat 1 of the bar."
        assert len(said) == 4

    def test_a_number_between_two_beats(self):
        said = unusual([("1", 6), ("2", 18)], begins_on_beat=1, beats_per_bar=4)
        assert said == ("“2” is said after beat 1 of the bar.",)

    def test_no_whole_number_of_beats(self):
        said = unusual([("Q", 12), ("a", 3)], begins_on_beat=1, beats_per_bar=4)
        assert said == ("It lasts 1 1/4 beats: whatever follows it starts between two beats.",)

    @pytest.mark.parametrize("rhythm", RHYTHMS, ids=lambda rhythm: rhythm.name)
    def test_nothing_is_unusual_about_those_that_come_with_the_app(self, rhythm):
        begins, bar = rhythm.begins_on_beat, rhythm.beats_per_bar
        assert unusual(rhythm.counts, begins_on_beat=begins, beats_per_bar=bar) == ()


@pytest.mark.django_db
class TestTheRuler:
    def test_counts_are_as_wide_as_they_last_and_a_bar_begins_where_it_begins(self):
        dance = create_dance(name="cha-cha", rhythms=standard_dance("cha-cha").rhythms)
        picture = rhythm_picture(dance.rhythms.get(), beats_per_bar=4)
        assert [(block.said, block.width) for block in picture.blocks] == [
            ("2", BEAT),
            ("3", BEAT),
            ("4", BEAT / 2),
            ("&", BEAT / 2),
            ("1", BEAT),
        ]
        assert [tick.label for tick in picture.ticks] == ["2", "3", "4", "1", ""]
        assert [tick.x for tick in picture.ticks if tick.is_bar] == [SIDE + 3 * BEAT]
        assert picture.words == "2 for 1, 3 for 1, 4 for 0.5, & for 0.5, 1 for 1"


@pytest.mark.django_db
class TestThePage:
    def test_the_range_in_beats_and_in_seconds(self, as_director, waltz):
        assert (
            "28 to 30 bars a minute, which is 84 to 90 beats a minute. 32 bars last 64 to 68.6 seconds."
            in text_of(as_director, waltz)
        )

    def test_a_dance_with_neither_says_so(self, as_director):
        text = text_of(as_director, DanceFactory())
        assert "No range yet." in text
        assert "No rhythm yet." in text

    def test_a_rhythm_with_its_source_and_its_picture_in_words(self, as_director, waltz):
        add(as_director, waltz)
        text = text_of(as_director, waltz)
        assert "3 beats, 1 bar. Ours" in text
        assert 'aria-label="Beats: 1 for 1, 2 for 1, 3 for 1"' in text

    def test_a_student_reads_the_rhythms_of_a_dance_they_learn_and_of_no_other(self, client, waltz, student):
        EnrolmentFactory(course=CourseFactory(level=LevelFactory(dance=waltz)), person=student)
        client.force_login(student)
        assert "Add a rhythm" not in text_of(client, waltz)
        assert client.get(reverse("curriculum:rhythms", args=[DanceFactory().pk])).status_code == 404

    @pytest.mark.parametrize("number", [2, 30])
    def test_it_costs_the_same_for_any_number_of_rhythms(
        self, as_director, waltz, number, django_assert_num_queries
    ):
        for place in range(number):
            rhythm = Rhythm.objects.create(dance=waltz, name=f"rhythm {place}")
            rhythm.counts.create(position=0, count="1", ticks=12)
        with django_assert_num_queries(7):
            text_of(as_director, waltz)


@pytest.mark.django_db
class TestAddingAndChanging:
    def test_a_rhythm_is_added_as_it_is_spoken(self, as_director, waltz):
        add(as_director, waltz, counts=" 1  2 & 3", lengths="1 1/2 0.5 1")
        counts = waltz.rhythms.get().counts.values_list("count", "ticks")
        assert list(counts) == [("1", 12), ("2", 6), ("&", 6), ("3", 12)]

    @pytest.mark.parametrize(
        ("change", "field", "said"),
        [
            ({"name": " "}, "name", "Fill this in."),
            ({"name": "Waltz"}, "name", "waltz has a rhythm called Waltz already."),
            ({"lengths": "1 1"}, "lengths", "There are 3 counts and 2 lengths; each count needs one."),
            ({"lengths": "1 x 1"}, "lengths", "“x” is not a number of beats; write it like 6, 4.5 or 1 1/3."),
            (
                {"lengths": "1 100000 1"},
                "lengths",
                "100000 beats is not a length; it lies between 1/12 and 400.",
            ),
            ({"lengths": "1 0 1"}, "lengths", "0 beats is not a length; it lies between 1/12 and 400."),
            (
                {"lengths": "1 1/5 1"},
                "lengths",
                "1/5 beats cannot be counted in twelfths of a beat; a third is written 1/3.",
            ),
            ({"counts": "onetwothree 2 3"}, "counts", "“onetwothree” has 11 letters; 8 are allowed."),
            ({"begins_on_beat": 4}, "begins_on_beat", "A bar of waltz has 3 beats."),
        ],
    )
    def test_what_is_wrong_is_said_at_the_field_and_nothing_typed_is_lost(
        self, as_director, waltz, change, field, said
    ):
        Rhythm.objects.create(dance=waltz, name="waltz")
        page = add(as_director, waltz, **change)
        assert page.context["form"].errors[field] == [said]
        assert page.context["form"]["source"].value() == "ours"
        assert waltz.rhythms.count() == 1

    def test_what_is_unusual_is_saved_and_said(self, as_director, waltz):
        page = as_director.get(add(as_director, waltz, lengths="1 1/2 1")["Location"])
        text = " ".join(page.content.decode().split())
        assert "hesitation is saved. It is unusual" in text
        assert "It lasts 2 1/2 beats" in text

    def test_a_rhythm_is_changed(self, as_director, waltz):
        add(as_director, waltz, lengths="4/3 1 2/3")
        rhythm = waltz.rhythms.get()
        address = reverse("curriculum:rhythm-edit", args=[rhythm.pk])
        form = as_director.get(address).context["form"]
        assert form["lengths"].value() == "4/3 1 2/3"
        began = form["began_from"].value()
        as_director.post(address, typed(counts="1 2", lengths="1 2", began_from=began))
        assert list(rhythm.counts.values_list("count", "ticks")) == [("1", 12), ("2", 24)]

    def test_the_second_of_two_writers_is_shown_both_and_loses_nothing(self, as_director, waltz):
        add(as_director, waltz)
        rhythm = waltz.rhythms.get()
        address = reverse("curriculum:rhythm-edit", args=[rhythm.pk])
        began = as_director.get(address).context["form"]["began_from"].value()
        as_director.post(address, typed(source="the first one's", began_from=began))
        page = as_director.post(address, typed(source="the second one's", began_from=began))
        assert page.status_code == 409
        assert [(one.label, one.stands, one.typed) for one in page.context["differ"]] == [
            ("Source", "the first one's", "the second one's")
        ]
        assert "Somebody else saved this rhythm while you had it open." in page.content.decode()
        assert page.context["form"]["source"].value() == "the second one's"
        rhythm.refresh_from_db()
        assert rhythm.source == "the first one's"
        seen = page.context["form"]["began_from"].value()
        as_director.post(address, typed(source="the second one's", began_from=seen))
        rhythm.refresh_from_db()
        assert rhythm.source == "the second one's"

    def test_a_rhythm_is_taken_away(self, as_director, waltz):
        add(as_director, waltz)
        answer = as_director.post(reverse("curriculum:rhythm-remove", args=[waltz.rhythms.get().pk]))
        assert answer["Location"] == reverse("curriculum:rhythms", args=[waltz.pk])
        assert not waltz.rhythms.exists()

    def test_looking_takes_nothing_away(self, as_director, waltz):
        add(as_director, waltz)
        address = reverse("curriculum:rhythm-remove", args=[waltz.rhythms.get().pk])
        assert "Charts keep their counts." in as_director.get(address).content.decode()
        assert waltz.rhythms.exists()


@pytest.mark.django_db
class TestTheTempo:
    def change(self, client, dance, **fields):
        return client.post(reverse("curriculum:tempo", args=[dance.pk]), fields)

    def test_it_is_changed(self, as_director, waltz):
        self.change(
            as_director, waltz, slowest_bars_per_minute=27, quickest_bars_per_minute=31.5, note="ours"
        )
        waltz.refresh_from_db()
        assert (waltz.slowest_bars_per_minute, waltz.quickest_bars_per_minute, waltz.note) == (
            27,
            31.5,
            "ours",
        )

    @pytest.mark.parametrize(
        ("slowest", "quickest", "said"),
        [
            (31, 30, "This must be above 0 and not below the slowest."),
            (0, 30, "This must be above 0 and not below the slowest."),
            (28, "", "Give both ends of the range, or neither."),
        ],
    )
    def test_a_range_that_cannot_be_is_refused_at_its_field(
        self, as_director, waltz, slowest, quickest, said
    ):
        page = self.change(
            as_director, waltz, slowest_bars_per_minute=slowest, quickest_bars_per_minute=quickest
        )
        assert page.context["form"].errors["quickest_bars_per_minute"] == [said]
        assert page.context["dance"].slowest_bars_per_minute == 28


@pytest.mark.django_db
class TestStartingFromACommonDance:
    def started(self, client, start, **change):
        address = reverse("curriculum:dance-new")
        form = client.get(address, {"start": start}).context["form"]
        filled = {field.name: field.value() for field in form if field.value() is not None}
        return client.post(address, filled | change)

    def test_every_one_is_offered(self, as_director):
        page = as_director.get(reverse("curriculum:dance-new")).content.decode()
        assert all(f">{dance.name}</a>" in page for dance in DANCES)

    @pytest.mark.parametrize("dance", DANCES, ids=lambda dance: dance.name)
    def test_metre_tempo_floor_and_rhythms_come_with_their_sources(self, as_director, dance):
        assert self.started(as_director, dance.name).status_code == 302
        made = Dance.objects.get(name=dance.name)
        assert made.beats_per_bar == dance.beats_per_bar
        assert made.slowest_bars_per_minute == dance.slowest_bars_per_minute
        assert made.quickest_bars_per_minute == dance.quickest_bars_per_minute
        assert made.floor_use == dance.floor_use
        assert dance.tempo_source in made.note
        assert {rhythm.name for rhythm in made.rhythms.all()} == {rhythm.name for rhythm in dance.rhythms}
        assert all(rhythm.source for rhythm in made.rhythms.all())

    def test_it_may_be_called_otherwise(self, as_director):
        self.started(as_director, "slow waltz", name="waltz")
        assert Dance.objects.get().rhythms.filter(name="waltz turning lock").exists()

    def test_in_another_metre_the_rhythms_are_those_of_the_metre(self, as_director):
        self.started(as_director, "slow waltz", beats_per_bar=2)
        assert {rhythm.name for rhythm in Dance.objects.get().rhythms.all()} == {
            rhythm.name for rhythm in RHYTHMS if rhythm.beats_per_bar == 2
        }

    def test_a_start_that_is_none_is_an_empty_form(self, as_director):
        page = as_director.get(reverse("curriculum:dance-new"), {"start": "polka of the moon"})
        assert page.context["form"]["name"].value() is None
