"""A director takes a curriculum in from a file: first a preview, then all of it or nothing."""

import json
import re

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from curriculum.actions import create_dance, create_figure
from curriculum.models import Dance, Figure, Level
from curriculum.travel import carry
from curriculum.travel.collect import curriculum_of
from curriculum.travel.reading import read_file
from curriculum.travel.writing import write_file
from lessons.demo.dance_rows import load_dance
from tests.factories import FigureFactory, LevelFactory

pytestmark = pytest.mark.django_db


def file_of(content):
    text = content if isinstance(content, str) else json.dumps(content)
    return SimpleUploadedFile("curriculum.json", text.encode())


def one_dance(**more):
    figure = {"name": "box step", "level": "Beginners", "minutes_to_introduce": 12}
    dance = {"name": "waltz", "beats_per_bar": 3, "levels": [{"name": "Beginners"}], "figures": [figure]}
    return {"freefoot-curriculum": 1, "dances": [dance | more]}


def preview(client, content):
    return client.post(reverse("curriculum:file-in"), {"file": file_of(content)})


def confirm(client, carried):
    return client.post(reverse("curriculum:file-confirm"), {"carried": carried})


class TestThePreview:
    def test_nothing_is_written_before_it_is_confirmed(self, as_director):
        page = preview(as_director, one_dance())
        assert "Write 3 new</button>" in page.content.decode()
        assert not Dance.objects.exists()

    def test_confirmed_it_is_there(self, as_director):
        answer = confirm(as_director, preview(as_director, one_dance()).context["carried"])
        page = as_director.get(answer["Location"])
        assert "Written: 3 new." in page.content.decode()
        assert Figure.objects.get().names.get(is_main=True).key == "box step"

    def test_what_changes_is_shown_side_by_side(self, as_director):
        confirm(as_director, preview(as_director, one_dance()).context["carried"])
        page = preview(as_director, one_dance(beats_per_bar=6, note="six in a bar"))
        text = " ".join(page.content.decode().split())
        assert (
            '<th scope="row">beats per bar</th> <td data-label="Now" class="before"><span>3</span></td>'
            in text
        )
        assert "Figures: 1 the same." in text

    def test_what_stands_already_is_not_written_again(self, as_director):
        confirm(as_director, preview(as_director, one_dance()).context["carried"])
        page = preview(as_director, one_dance())
        assert "Nothing would change: everything stands as the file says." in page.content.decode()
        assert "carried" not in page.context

    def test_mistakes_are_said_by_place_and_nothing_can_be_written(self, as_director):
        page = preview(as_director, one_dance(beat_unit=0, levels=[]))
        text = page.content.decode()
        assert "2 mistakes." in text
        assert "<b>waltz, beat_unit:</b> 0 is outside 1 to 32767" in text
        assert "<b>waltz, figure “box step”, level:</b> there is no level “Beginners” in waltz" in text
        assert "carried" not in page.context

    def test_a_school_that_changed_meanwhile_is_previewed_anew(self, as_director):
        confirm(as_director, preview(as_director, one_dance()).context["carried"])
        carried = preview(as_director, one_dance(note="swings")).context["carried"]
        Dance.objects.update(note="turns")
        page = confirm(as_director, carried)
        assert page.status_code == 409
        assert "was changed since you looked" in page.content.decode()
        assert Dance.objects.get().note == "turns"
        confirm(as_director, page.context["carried"])
        assert Dance.objects.get().note == "swings"

    @pytest.mark.parametrize("carried", ["", "nonsense", "a:b:c"])
    def test_what_was_tampered_with_is_refused(self, as_director, carried):
        page = as_director.get(confirm(as_director, carried)["Location"])
        assert "This preview is no longer good. Choose the file again." in page.content.decode()

    def test_a_preview_is_good_for_whoever_saw_it(self, as_director, instructor):
        carried = preview(as_director, one_dance()).context["carried"]
        with pytest.raises(carry.NothingCarried):
            carry.unpack(carried, person=instructor.pk)

    def test_a_file_that_would_not_fit_into_a_form_is_refused(self, as_director, monkeypatch):
        monkeypatch.setattr(carry, "MOST_PACKED", 10)
        page = preview(as_director, one_dance())
        assert "Take it in a dance at a time." in page.content.decode()


class TestWhatIsRefusedAsAWhole:
    @pytest.mark.parametrize(
        ("content", "said"),
        [
            ("", "The file is empty."),
            ("level,figure\n", "its text is not JSON. It breaks off in line 1."),
            ("[" * 100_000, "its text is not JSON"),
            ("[]", "This is JSON, but not a curriculum file"),
            ('{"dances": []}', "This is JSON, but not a curriculum file"),
            ('{"freefoot-curriculum": "1"}', "is not a number that a version can have"),
            ('{"freefoot-curriculum": true}', "is not a number that a version can have"),
            ('{"freefoot-curriculum": 2, "dances": []}', "of version 2, which a newer Freefoot wrote"),
            ('{"freefoot-curriculum": 1, "freefoot-curriculum": 2}', "twice in one place"),
            ('{"freefoot-curriculum": 1, "dances": NaN}', "a number in this file that is none"),
            ('{"freefoot-curriculum": ' + "9" * 5_000 + "}", "far too long"),
        ],
    )
    def test_it_is_said_at_the_field_in_a_sentence(self, as_director, content, said):
        page = preview(as_director, content)
        (sentence,) = page.context["form"].errors["file"]
        assert said in sentence
        assert not Dance.objects.exists()

    def test_nothing_but_mistakes(self, as_director):
        page = preview(as_director, one_dance(figures=[{}] * 400))
        assert "more than 1,000 mistakes" in page.context["form"].errors["file"][0]

    def test_bytes_that_are_no_text(self, as_director):
        file = SimpleUploadedFile("x.json", b"\xff\xfe\x00picture")
        page = as_director.post(reverse("curriculum:file-in"), {"file": file})
        assert "not text in UTF-8" in page.context["form"].errors["file"][0]

    def test_more_than_twenty_megabytes(self, as_director):
        page = preview(as_director, " " * (20 * 1024 * 1024 + 1))
        assert "larger than 20 MB" in page.context["form"].errors["file"][0]


class TestWhatIsSaidByPlace:
    @pytest.mark.parametrize(
        ("dance", "said"),
        [
            ({"name": " "}, "dance 1, name: this is empty"),
            ({"name": None}, "dance 1, name: this cannot be empty"),
            ({"name": "w" * 81}, "this has 81 letters; 80 are allowed"),
            ({"note": "a\x00b"}, "waltz, note: there is a character in it that no text can have"),
            ({"note": "\ud800"}, "waltz, note: there is a character in it that no text can have"),
            ({"note": ["x"]}, "waltz, note: a single value belongs here"),
            ({"beats_per_bar": 13}, "waltz, beats_per_bar: ensure this value is less than or equal to 12"),
            ({"beats_per_bar": True}, "waltz, beats_per_bar: a whole number belongs here"),
            ({"beats_per_bar": 3.5}, "waltz, beats_per_bar: a whole number belongs here"),
            ({"floor_use": "air"}, "waltz, floor_use: “air” is not one of travels, slot, spot"),
            ({"level": []}, "waltz: “level” is not known here; did you mean “levels”?"),
            ({"levels": {}}, "waltz, levels: a list in square brackets belongs here"),
            ({"levels": ["x"]}, "waltz, level 1: an object in curly brackets belongs here"),
            ({"slowest_bars_per_minute": 28.25}, "waltz, slowest_bars_per_minute: ensure that there are"),
            (
                {"rhythms": [{"name": "r", "counts": [{"count": "1", "ticks": 0}]}]},
                "waltz, rhythm “r”, count 1, ticks: 0 is outside 1 to 4800",
            ),
            (
                {"holds": [{"name": "h", "key": "H", "facing": 8}]},
                "waltz, hold “h”, facing: 8 is outside 0 to 7",
            ),
        ],
    )
    def test_what_a_field_cannot_hold(self, dance, said):
        _, mistakes = read_file(json.dumps(one_dance(**dance)).encode())
        assert any(said in str(mistake) for mistake in mistakes), list(map(str, mistakes))

    def test_steps_and_passages_have_their_places(self):
        figure = one_dance()["dances"][0]["figures"][0]
        figure["charts"] = [{"leader": [{"count": "1", "ticks": 12, "action": "step", "foot": "X"}]}]
        figure["passages"] = [{"from": {"place": 9}, "chart": 2}, {"chart": 0}]
        _, mistakes = read_file(json.dumps(one_dance(figures=[figure])).encode())
        assert list(map(str, mistakes)) == [
            "waltz, figure “box step”, chart 1, leader’s step 1, foot: “X” is not one of L, R",
            "waltz, figure “box step”, passage 1, from, place: 9 is outside 0 to 7",
            "waltz, figure “box step”, passage 2, chart: a whole number from 1 belongs here",
            "waltz, figure “box step”, passage 1, chart: there is no chart 2 in this figure",
        ]


class TestTakingOut:
    def test_the_whole_and_one_dance(self, as_director):
        waltz = create_dance(name="slow waltz", beats_per_bar=3)
        create_dance(name="cha-cha")
        whole = as_director.get(reverse("curriculum:file-out"))
        assert whole["Content-Disposition"] == 'attachment; filename="curriculum.json"'
        assert [dance["name"] for dance in whole.json()["dances"]] == ["cha-cha", "slow waltz"]
        alone = as_director.get(reverse("curriculum:dance-file-out", args=[waltz.pk]))
        assert alone["Content-Disposition"] == 'attachment; filename="slow-waltz.json"'
        assert [dance["name"] for dance in alone.json()["dances"]] == ["slow waltz"]

    def test_it_can_be_read_by_people(self, as_director):
        create_figure(level=LevelFactory(name="Débutants"), name="pas à côté", minutes_to_introduce=9)
        text = as_director.get(reverse("curriculum:file-out")).content.decode()
        assert '"name": "pas à côté"' in text
        assert text.startswith('{\n  "dances": [\n')
        assert text.endswith('"freefoot-curriculum": 1\n}\n')

    def test_the_pages_lead_there(self, as_director):
        dance = create_dance(name="waltz")
        assert (
            reverse("curriculum:file-out") in as_director.get(reverse("curriculum:dances")).content.decode()
        )
        page = as_director.get(reverse("curriculum:dance", args=[dance.pk])).content.decode()
        assert reverse("curriculum:dance-file-out", args=[dance.pk]) in page


class TestTheReadme:
    def test_it_names_everything_that_a_file_says(self):
        """The demo's waltz has nearly all there is."""
        load_dance("waltz")
        curriculum = curriculum_of(Dance.objects.all())
        readme = (settings.BASE_DIR / "README.md").read_text(encoding="utf-8")
        section = readme.split("## The curriculum file")[1].split("\n## ")[0]
        said = set(re.findall(r'"?([a-z_-]+)"?(?=[`:])', section))
        assert set(keys_of(json.loads(write_file(curriculum)))) - said == set()


def keys_of(content):
    if isinstance(content, dict):
        for key, value in content.items():
            yield key
            yield from keys_of(value)
    elif isinstance(content, list):
        for value in content:
            yield from keys_of(value)


class TestCost:
    @pytest.mark.parametrize("number", [3, 40])
    def test_taking_out_costs_the_same_for_any_number_of_figures(
        self, as_director, number, django_assert_num_queries
    ):
        FigureFactory.create_batch(number, level=LevelFactory())
        with django_assert_num_queries(16):
            as_director.get(reverse("curriculum:file-out"))

    @pytest.mark.parametrize("number", [3, 40])
    def test_a_preview_costs_the_same_for_any_number_of_figures(
        self, as_director, number, django_assert_num_queries
    ):
        level = LevelFactory()
        FigureFactory.create_batch(number, level=level)
        text = as_director.get(reverse("curriculum:file-out")).content.decode()
        Level.objects.update(most_new=5)
        with django_assert_num_queries(16):
            page = preview(as_director, text)
        assert "Changed levels" in page.content.decode()
