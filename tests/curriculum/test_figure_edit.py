"""A figure is made and changed on a page; whoever saves second is shown both versions and loses nothing."""

import pytest
from django.urls import reverse

from curriculum.figure_form import as_typed
from curriculum.models import Figure, FigureName, Prerequisite
from tests.factories import FigureFactory, LevelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def beginners(school):
    return LevelFactory(rank=1, name="Beginners")


@pytest.fixture
def whisk(beginners):
    return FigureFactory(level=beginners, name="whisk", ticks=36)


def typed(level, **fields):
    form = {
        "name": "whisk",
        "other_names": "",
        "level": level.pk,
        "kind": "figure",
        "beats": "3",
        "minutes_to_introduce": 15,
        "minutes_to_review": 4,
        "in_a_row": 1,
        "lead": "",
        "response": "",
        "notes": "",
        "faults": "",
        "cautions": "",
    }
    return form | fields


def save_new(client, level, **fields):
    return client.post(reverse("curriculum:figure-new", args=[level.dance_id]), typed(level, **fields))


def save(client, figure, **fields):
    return client.post(reverse("curriculum:figure-edit", args=[figure.pk]), {**as_typed(figure), **fields})


class TestANewFigure:
    def test_everything_typed_stands_on_its_page(self, as_director, beginners):
        FigureFactory(level=beginners, order=10)
        answer = save_new(
            as_director,
            beginners,
            beats="4.5",
            other_names="open whisk\n  twinkle ",
            faults="arms twisted -> turn the ribs\nlate → clap first",
            cautions="Elbows in front.",
        )
        figure = Figure.objects.get(name="whisk")
        assert answer["Location"] == reverse("curriculum:figure", args=[figure.pk])
        assert (figure.ticks, figure.order, figure.level) == (54, 20, beginners)
        assert figure.other_names == ["open whisk", "twinkle"]
        assert list(figure.faults.values_list("fault", "remedy")) == [
            ("arms twisted", "turn the ribs"),
            ("late", "clap first"),
        ]
        assert figure.cautions.get().text == "Elbows in front."

    def test_a_technique_has_no_length(self, as_director, beginners):
        save_new(as_director, beginners, name="frame", kind="technique", beats="")
        assert Figure.objects.get().is_technique

    @pytest.mark.parametrize(
        ("change", "field", "said"),
        [
            ({"name": ""}, "name", "Fill this in."),
            ({"name": "whisk; twinkle"}, "name", "A name cannot have a semicolon in it"),
            ({"beats": "4.3"}, "beats", "4.3 beats cannot be counted in twelfths"),
            ({"beats": "100000"}, "beats", "100000 beats is not a length; it lies between 1/12 and 400."),
            ({"beats": ""}, "beats", "A figure has a length. Leave it empty for a technique only."),
            ({"kind": "technique"}, "beats", "A technique has no length."),
            ({"minutes_to_introduce": 0}, "minutes_to_introduce", "Write 1 or more."),
            (
                {"faults": "late → clap\njust wrong"},
                "faults",
                "Line 2 needs both: what goes wrong → what helps.",
            ),
            ({"cautions": "x" * 301}, "cautions", "Line 1 has 301 letters; 300 are allowed."),
            ({"other_names": "Taken"}, "other_names", "This dance already has a figure called “taken”."),
            ({"name": "TAKEN"}, "name", "This dance already has a figure called “taken”."),
        ],
    )
    def test_what_is_wrong_is_said_at_the_field_and_nothing_typed_is_lost(
        self, as_director, beginners, change, field, said
    ):
        FigureFactory(level=beginners, name="taken")
        page = save_new(as_director, beginners, notes="kept as typed", **change)
        assert said in page.context["form"].errors[field][0]
        assert "kept as typed" in page.content.decode()
        assert Figure.objects.count() == FigureName.objects.count() == 1

    def test_a_dance_without_levels_asks_for_one_first(self, as_director, beginners):
        dance = beginners.dance
        beginners.delete()
        page = as_director.get(reverse("curriculum:figure-new", args=[dance.pk]))
        assert "Add the lowest level first" in page.content.decode()

    def test_a_level_of_another_dance_cannot_be_chosen(self, as_director, beginners):
        form = typed(beginners) | {"level": LevelFactory().pk}
        page = as_director.post(reverse("curriculum:figure-new", args=[beginners.dance_id]), form)
        assert page.context["form"].errors["level"]


class TestAChange:
    def test_is_saved_with_all_its_names(self, as_director, whisk):
        save(as_director, whisk, name="back whisk", other_names="whisk", minutes_to_introduce=18)
        whisk.refresh_from_db()
        assert (whisk.name, whisk.minutes_to_introduce, whisk.version) == ("back whisk", 18, 2)
        assert set(whisk.names.values_list("name", "is_main")) == {("back whisk", True), ("whisk", False)}

    def test_a_page_saved_as_it_was_opened_changes_only_the_version(self, as_director, whisk):
        before = as_typed(whisk)
        save(as_director, whisk)
        assert as_typed(Figure.objects.get()) == before | {"version": 2}

    def test_a_name_that_another_figure_has_is_said_at_the_field(self, as_director, whisk, beginners):
        FigureFactory(level=beginners, name="box step")
        page = save(as_director, whisk, name="Box Step")
        assert page.context["form"].errors["name"] == ["This dance already has a figure called “box step”."]
        assert "Change whisk" in page.content.decode()


class TestOtherFormsOfIt:
    """The easier form, the one in an open hold, what it grows into: chosen on the form, shown on the page."""

    def test_are_saved_and_shown_from_both_ends(self, as_director, whisk, beginners):
        easier, open_one, bigger = (FigureFactory(level=beginners, name=n) for n in ("box", "apart", "wing"))
        named = {"easier_form": easier.pk, "open_form": open_one.pk, "extension": bigger.pk}
        save(as_director, whisk, **named)
        whisk.refresh_from_db()
        assert (whisk.easier_form, whisk.open_form, whisk.extension) == (easier, open_one, bigger)
        shown = {}
        for figure in (whisk, easier, open_one, bigger):
            page = as_director.get(reverse("curriculum:figure", args=[figure.pk])).context["page"]
            shown[figure.name] = [(what, other.name) for what, other, _ in page.around.forms]
        assert shown == {
            "whisk": [("An easier form", "box"), ("In an open hold", "apart"), ("Grows into", "wing")],
            "box": [("A harder form", "whisk")],
            "apart": [("In a closed hold", "whisk")],
            "wing": [("Grows out of", "whisk")],
        }

    def test_are_other_figures_of_the_same_dance(self, as_director, whisk):
        for form in ("easier_form", "open_form", "extension"):
            for wrong in (whisk, FigureFactory()):
                assert save(as_director, whisk, **{form: wrong.pk}).context["form"].errors[form]

    def test_can_be_named_when_a_figure_is_made(self, as_director, whisk, beginners):
        save_new(as_director, beginners, name="open whisk", easier_form=whisk.pk)
        assert Figure.objects.get(name="open whisk").easier_form == whisk

    def test_are_said_by_name_when_two_save_at_once(self, as_director, whisk, beginners):
        box = FigureFactory(level=beginners, name="box")
        form = as_typed(whisk)
        save(as_director, whisk, open_form=box.pk)
        page = as_director.post(reverse("curriculum:figure-edit", args=[whisk.pk]), form)
        assert [(row.label, row.stands, row.typed) for row in page.context["differ"]] == [
            ("In an open hold", "box", "")
        ]


class TestTwoAtOnce:
    def test_the_second_is_shown_both_versions_and_nothing_is_written(self, as_director, whisk):
        opened = as_typed(whisk)
        save(as_director, whisk, notes="the first one's words", minutes_to_introduce=20)
        page = as_director.post(
            reverse("curriculum:figure-edit", args=[whisk.pk]), opened | {"notes": "the second one's words"}
        )
        assert page.status_code == 409
        assert [(field.label, field.stands, field.typed) for field in page.context["differ"]] == [
            ("Minutes to introduce", "20", "12"),
            ("Notes", "the first one's words", "the second one's words"),
        ]
        assert "You changed this figure since, in another window" in page.content.decode()
        assert page.context["form"]["notes"].value() == "the second one's words"
        assert Figure.objects.get().notes == "the first one's words"

    def test_having_seen_both_the_second_may_save(self, as_director, whisk):
        opened = as_typed(whisk)
        save(as_director, whisk, notes="first")
        address = reverse("curriculum:figure-edit", args=[whisk.pk])
        page = as_director.post(address, opened | {"notes": "second"})
        assert as_director.post(address, page.context["form"].data).status_code == 302
        assert Figure.objects.get().notes == "second"

    def test_a_level_is_shown_by_its_name(self, as_director, whisk, beginners):
        other = LevelFactory(dance=beginners.dance, rank=2, name="Improvers")
        opened = as_typed(whisk)
        save(as_director, whisk, level=other.pk)
        page = as_director.post(reverse("curriculum:figure-edit", args=[whisk.pk]), opened)
        assert [(field.stands, field.typed) for field in page.context["differ"]] == [
            ("Improvers", "Beginners")
        ]

    def test_two_who_wrote_the_same_are_told_so(self, as_director, whisk):
        opened = as_typed(whisk) | {"notes": "same"}
        address = reverse("curriculum:figure-edit", args=[whisk.pk])
        as_director.post(address, opened)
        page = as_director.post(address, opened)
        assert page.context["differ"] == ()
        assert "You both wrote the same." in page.content.decode()


class TestWhatAFigureNeeds:
    def add(self, client, figure, needs, **more):
        return client.post(
            reverse("curriculum:prerequisite-add", args=[figure.pk]), {"needs": needs.pk, **more}
        )

    def test_is_added_and_taken_away(self, as_director, whisk, beginners):
        turn = FigureFactory(level=beginners, name="reverse turn")
        self.add(as_director, whisk, turn, same_evening="on")
        row = Prerequisite.objects.get()
        assert (row.figure, row.needs, row.same_evening) == (whisk, turn, True)
        as_director.post(reverse("curriculum:prerequisite-remove", args=[whisk.pk, turn.pk]))
        assert not Prerequisite.objects.exists()

    def test_a_circle_is_refused_and_spelled_out_at_the_field(self, as_director, whisk, beginners):
        turn = FigureFactory(level=beginners, name="reverse turn", needs=[whisk])
        page = self.add(as_director, whisk, turn)
        assert page.context["form"].errors["needs"] == [
            "That would close a circle: whisk needs reverse turn, which needs whisk."
        ]
        assert Prerequisite.objects.count() == 1

    def test_a_figure_of_a_higher_level_is_refused_with_the_reason(self, as_director, whisk, beginners):
        higher = FigureFactory(
            level=LevelFactory(dance=beginners.dance, rank=2, name="Improvers"), name="wing"
        )
        page = self.add(as_director, whisk, higher)
        assert "wing is taught on Improvers, above Beginners" in page.context["form"].errors["needs"][0]

    def test_a_figure_of_another_dance_cannot_be_chosen(self, as_director, whisk):
        assert self.add(as_director, whisk, FigureFactory()).context["form"].errors["needs"]

    def test_taking_away_is_not_done_by_looking(self, as_director, whisk, beginners):
        turn = FigureFactory(level=beginners)
        Prerequisite.objects.create(figure=whisk, needs=turn)
        address = reverse("curriculum:prerequisite-remove", args=[whisk.pk, turn.pk])
        assert as_director.get(address).status_code == 405
        assert Prerequisite.objects.exists()


def test_an_instructor_may_read_a_figure_but_not_change_it(client, school, instructor, whisk):
    client.force_login(instructor)
    assert client.get(reverse("curriculum:figure", args=[whisk.pk])).status_code == 200
    assert client.get(reverse("curriculum:figure-edit", args=[whisk.pk])).status_code == 403
    assert client.post(reverse("curriculum:figure-edit", args=[whisk.pk]), as_typed(whisk)).status_code == 403
