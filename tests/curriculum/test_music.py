"""The school's own music: typed by its owner, laid under a routine, never looked up."""

from fractions import Fraction

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from curriculum.models import Piece
from curriculum.music_page import pieces_for
from curriculum.rules.music_fit import fit_into, read_length, say_length
from tests.factories import (
    DanceFactory,
    FigureFactory,
    LevelFactory,
    PassageFactory,
    PieceFactory,
    RoutineFactory,
)


class TestArithmetic:
    def test_a_routine_goes_into_a_piece_as_often_as_it_has_room(self):
        """48 beats at 120 a minute last 24 seconds; after 8 beats of intro 116 of 120 seconds are left."""
        fit = fit_into(
            Fraction(48), phrase_beats=24, beats_per_minute=Fraction(120), seconds=120, intro_beats=8
        )
        assert (fit.round_seconds, fit.begins, fit.times, fit.left) == (24, 4, 4, 20)
        assert fit.phrases[:3] == (4, 16, 28)
        assert len(fit.phrases) == 8

    def test_what_cannot_be_danced_again_goes_in_once_however_long_the_piece(self):
        fit = fit_into(Fraction(48), phrase_beats=24, beats_per_minute=Fraction(120), seconds=120, most=1)
        assert (fit.times, fit.left, fit.phrases) == (1, 96, (0, 12))

    def test_a_piece_that_is_too_short_takes_it_not_once(self):
        fit = fit_into(Fraction(48), phrase_beats=24, beats_per_minute=Fraction(120), seconds=20)
        assert (fit.times, fit.left, fit.phrases) == (0, 20, ())

    def test_an_intro_longer_than_the_piece_leaves_nothing(self):
        fit = fit_into(Fraction(4), phrase_beats=24, beats_per_minute=Fraction(60), seconds=5, intro_beats=9)
        assert (fit.times, fit.left) == (0, 0)

    @pytest.mark.parametrize(("beats", "tempo"), [(0, 120), (48, 0)])
    def test_without_length_or_tempo_there_is_nothing_to_say(self, beats, tempo):
        with pytest.raises(ValueError, match="more than nothing"):
            fit_into(Fraction(beats), phrase_beats=24, beats_per_minute=Fraction(tempo), seconds=60)

    @given(
        beats=st.integers(1, 200),
        phrase=st.integers(3, 48),
        tempo=st.integers(60, 240),
        seconds=st.integers(1, 600),
        intro=st.integers(0, 64),
    )
    def test_rounds_and_what_is_left_make_the_piece(self, beats, phrase, tempo, seconds, intro):
        fit = fit_into(
            Fraction(beats),
            phrase_beats=phrase,
            beats_per_minute=Fraction(tempo),
            seconds=seconds,
            intro_beats=intro,
        )
        if fit.begins <= seconds:
            assert fit.begins + fit.times * fit.round_seconds + fit.left == seconds
            assert fit.left < fit.round_seconds
        assert list(fit.phrases) == sorted(fit.phrases)
        assert all(fit.begins <= start < seconds for start in fit.phrases)

    @pytest.mark.parametrize(("text", "seconds"), [("2:45", 165), ("0:07", 7), ("185", 185), (" 3:00 ", 180)])
    def test_a_length_is_read(self, text, seconds):
        assert read_length(text) == seconds

    @pytest.mark.parametrize("text", ["", "2:75", "-3", "two", "1:2:3", "3:"])
    def test_what_is_no_length_is_refused_with_a_sentence(self, text):
        with pytest.raises(ValueError, match="minutes and seconds, like 2:45"):
            read_length(text)

    @given(st.integers(0, 3599))
    def test_a_length_is_said_as_it_is_read(self, seconds):
        assert read_length(say_length(seconds)) == seconds


@pytest.fixture
def waltz(school):
    return DanceFactory(
        name="waltz", beats_per_bar=3, slowest_bars_per_minute=28, quickest_bars_per_minute=30
    )


@pytest.mark.django_db
class TestTheList:
    def fields(self, dance, **more):
        given = {"title": "Low Tide", "dance": dance.pk, "beats_per_minute": "87", "seconds": "2:45"}
        return given | {"intro_beats": "12"} | more

    def test_a_piece_is_added(self, as_director, waltz):
        as_director.post(reverse("curriculum:piece-new"), self.fields(waltz))
        piece = Piece.objects.get()
        assert (piece.title, piece.beats_per_minute, piece.seconds, piece.intro_beats) == (
            "Low Tide",
            87,
            165,
            12,
        )
        page = as_director.get(reverse("curriculum:music")).content.decode()
        assert "Low Tide" in page
        assert "2:45" in page

    def test_an_instructor_keeps_the_list_too(self, client, instructor, waltz):
        client.force_login(instructor)
        client.post(reverse("curriculum:piece-new"), self.fields(waltz))
        assert Piece.objects.exists()

    @pytest.mark.parametrize(
        ("wrong", "field", "sentence"),
        [
            ({"title": ""}, "title", "Fill this in."),
            ({"beats_per_minute": "12"}, "beats_per_minute", "Write 30 or more."),
            ({"beats_per_minute": "900"}, "beats_per_minute", "Write 400 or less."),
            ({"seconds": "2.75"}, "seconds", "Write a length as minutes and seconds, like 2:45."),
            ({"seconds": "0:00"}, "seconds", "A piece lasts at least a second: write it like 2:45."),
            ({"seconds": "30:01"}, "seconds", "A piece lasts at most 30 minutes."),
            (
                {"seconds": "2:00", "beats_per_minute": "90", "intro_beats": "180"},
                "intro_beats",
                "The intro is longer than the piece: at 90 beats a minute 2:00 has 180 beats. "
                "Write 179 or less.",
            ),
            ({"intro_beats": "-3"}, "intro_beats", "Write 0 or more."),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, as_director, waltz, wrong, field, sentence):
        page = as_director.post(reverse("curriculum:piece-new"), self.fields(waltz, **wrong))
        assert page.context["form"].errors[field] == [sentence]
        assert not Piece.objects.exists()

    @pytest.mark.parametrize("title", ["Low Tide", "low tide"])
    def test_a_title_once_a_dance(self, as_director, waltz, title):
        PieceFactory(dance=waltz, title=title)
        page = as_director.post(reverse("curriculum:piece-new"), self.fields(waltz))
        assert page.context["form"].errors["title"] == ["There is a piece of this title for waltz already."]

    def test_a_second_writer_is_shown_what_changed_and_loses_nothing(self, as_director, waltz):
        piece = PieceFactory(dance=waltz, title="Low Tide", beats_per_minute=87)
        address = reverse("curriculum:piece-edit", args=[piece.pk])
        as_director.post(address, self.fields(waltz, beats_per_minute="90", version=1))
        answer = as_director.post(address, self.fields(waltz, beats_per_minute="84", version=1))
        assert answer.status_code == 409
        assert "90 beats a minute" in answer.content.decode()
        assert answer.context["form"]["beats_per_minute"].value() == "84"
        version = answer.context["form"]["version"].value()
        as_director.post(address, self.fields(waltz, beats_per_minute="84", version=version))
        piece.refresh_from_db()
        assert piece.beats_per_minute == 84

    def test_a_piece_comes_off_the_list(self, as_director, waltz):
        piece = PieceFactory(dance=waltz)
        as_director.post(reverse("curriculum:piece-remove", args=[piece.pk]))
        assert not Piece.objects.exists()

    @pytest.mark.parametrize("number", [2, 30])
    def test_the_list_costs_the_same_for_any_number(
        self, as_director, waltz, number, django_assert_num_queries
    ):
        for _ in range(number):
            PieceFactory(dance=waltz)
        with django_assert_num_queries(5):
            as_director.get(reverse("curriculum:music"))


@pytest.mark.django_db
class TestUnderARoutine:
    def test_what_it_fits_comes_first_and_says_why_not(self, waltz):
        PieceFactory(dance=waltz, title="a quick one", beats_per_minute=120, seconds=180)
        PieceFactory(dance=waltz, title="b short", beats_per_minute=87, seconds=20)
        PieceFactory(dance=waltz, title="c just right", beats_per_minute=87, seconds=165)
        PieceFactory(title="another dance")
        found = pieces_for(Fraction(48), waltz)
        assert [(row.row.piece.title, row.fits) for row in found] == [
            ("c just right", True),
            ("a quick one", False),
            ("b short", False),
        ]
        assert found[1].row.pace == "quicker than this dance"

    def test_the_page_says_where_its_phrases_fall(self, as_director, waltz):
        """Eight bars of 3/4 at 90 beats a minute last 16 seconds; 6 beats of intro are 4."""
        PieceFactory(dance=waltz, title="Low Tide", beats_per_minute=90, seconds=60, intro_beats=6)
        level = LevelFactory(dance=waltz)
        way = PassageFactory(figure=FigureFactory(level=level, ticks=24 * 12))
        routine = RoutineFactory(level=level, dances=[way])
        page = as_director.get(reverse("curriculum:routine", args=[routine.pk])).content.decode()
        assert "0:04, 0:20, 0:36" in page
        assert "3 times, 0:08 over" in page
