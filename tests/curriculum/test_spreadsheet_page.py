"""A director brings figures in from a file: first a preview, then all of it or nothing."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook

from curriculum.actions import add_prerequisite, create_dance, create_figure
from curriculum.models import Dance, Figure, FigureName, Hold, Level, Passage, Prerequisite
from curriculum.spreadsheet.columns import COLUMNS
from tests.factories import RoutineFactory

pytestmark = pytest.mark.django_db

HEADER = ",".join(COLUMNS)
CHA_CHA = [
    "Beginners,basic movement,basic; side basic,8,14,4,closed,closed,,Calm hips.",
    "Beginners,frame,,,10,2,,,,",
    "Beginners,New York,check step,4,14,4,two-hand,two-hand,basic movement,",
    "Improvers,fan,,4,18,5,closed,fan,basic; frame,",
    "Improvers,alemana,,8,20,6,fan,closed,fan,",
]


@pytest.fixture
def cha_cha(school):
    return create_dance(name="cha-cha", floor_use="spot")


def csv_file(*rows, header=HEADER, name="figures.csv"):
    return SimpleUploadedFile(name, "\r\n".join([header, *rows, ""]).encode())


def preview(client, dance, file):
    return client.post(reverse("curriculum:spreadsheet-in", args=[dance.pk]), {"file": file})


def confirm(client, dance, carried):
    return client.post(reverse("curriculum:spreadsheet-confirm", args=[dance.pk]), {"carried": carried})


def bring_in(client, dance, *rows):
    """Preview and confirm; gives the page that follows."""
    shown = preview(client, dance, csv_file(*rows))
    answer = confirm(client, dance, shown.context["carried"])
    assert answer.status_code == 302
    return client.get(answer["Location"])


def taken_out(client, dance, kind):
    return client.get(reverse("curriculum:spreadsheet-out", args=[dance.pk, kind])).content


class TestPreview:
    def test_nothing_is_written_before_it_is_confirmed(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, csv_file(*CHA_CHA))
        assert [figure.name for figure in page.context["changes"].new] == [
            "basic movement",
            "frame",
            "New York",
            "fan",
            "alemana",
        ]
        assert "Write 5 new figures</button>" in page.content.decode()
        assert not Figure.objects.exists()
        assert not Level.objects.exists()

    def test_new_levels_are_named(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, csv_file(*CHA_CHA))
        assert "New levels, from the lowest: <b>Beginners</b>, <b>Improvers</b>" in page.content.decode()

    def test_every_mistake_stands_there_and_nothing_can_be_confirmed(self, as_director, cha_cha):
        rows = [*CHA_CHA, "Improvers,hockey stick,,8,many,6,fan,closed,open fan,"]
        page = preview(as_director, cha_cha, csv_file(*rows))
        text = page.content.decode()
        assert "2 mistakes" in text
        assert "there is no figure “open fan” in cha-cha; did you mean “fan”?" in text
        assert "<b>Row 7, minutes to introduce:</b> the minutes are a whole number from 1 to 600" in text
        assert "carried" not in text

    def test_a_file_that_cannot_be_used_is_said_at_the_field(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, SimpleUploadedFile("syllabus.csv", b"%PDF-1.7"))
        assert page.context["form"].errors["file"] == [
            "This is a PDF, not a spreadsheet. Choose a CSV or XLSX file."
        ]

    def test_a_file_over_five_megabytes_is_not_even_read(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, SimpleUploadedFile("big.csv", b"x" * (5 * 1024 * 1024 + 1)))
        assert page.context["form"].errors["file"][0].startswith("The file is larger than 5 MB.")

    def test_no_file_at_all(self, as_director, cha_cha):
        page = as_director.post(reverse("curriculum:spreadsheet-in", args=[cha_cha.pk]))
        assert "file" in page.context["form"].errors

    def test_the_file_s_name_its_holds_and_its_notes_are_seen_before_they_are_written(
        self, as_director, cha_cha
    ):
        text = preview(as_director, cha_cha, csv_file(*CHA_CHA, name="autumn.csv")).content.decode()
        assert "<b>autumn.csv</b>, 5 rows read" in text
        assert "Calm hips." in text
        assert '<td data-label="Joined"><span class="way-of-row">closed → fan</span></td>' in text

    def test_a_name_that_is_a_slip_away_from_a_standing_one_is_asked_about_but_not_refused(
        self, as_director, cha_cha
    ):
        bring_in(as_director, cha_cha, *CHA_CHA)
        page = preview(as_director, cha_cha, csv_file(CHA_CHA[4].replace("alemana", "alemanna")))
        text = page.content.decode()
        assert "Row 2: did you mean “<b>alemana</b>”? “alemanna” will become a second figure" in text
        assert "Write 1 new figure</button>" in text

    def test_one_mistake_of_many_rows_is_said_once(self, as_director, cha_cha):
        rows = [f"Beginners,turn {place},,4,10,3,promenade,promenade,," for place in range(3)]
        text = preview(as_director, cha_cha, csv_file(*rows)).content.decode()
        assert text.count("there is no hold “promenade” in cha-cha") == 1
        assert "<b>Rows 2, 3, 4, hold at start and hold at end:</b>" in text
        assert "<strong>1 mistake.</strong>" in text

    def test_a_name_that_looks_like_html_is_shown_as_it_is(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, csv_file("Beginners,<b>turn</b>,,4,14,4,,,,"))
        assert "&lt;b&gt;turn&lt;/b&gt;" in page.content.decode()


class TestAHoldTheDanceLacks:
    """The floor decides which holds a new dance has, so a file may well name one that is not there."""

    ROW = "Beginners,whisk,,4,10,3,closed,promenade,,"

    def add(self, client, dance, page, **typed):
        form = {"carried": page.context["carried"], "name": "promenade", "facing": "6"} | typed
        return client.post(reverse("curriculum:spreadsheet-hold", args=[dance.pk]), form)

    def test_is_offered_with_the_reason_it_is_missing(self, as_director, cha_cha):
        text = preview(as_director, cha_cha, csv_file(self.ROW)).content.decode()
        assert "Add the hold “promenade”" in text
        assert "if its floor is “travels round the room”; the floor of cha-cha is “on the spot”." in text
        assert reverse("curriculum:dance-edit", args=[cha_cha.pk]) in text
        assert "“side by side, follower on the left”, “side by side, follower on the right”" in text

    def test_once_added_the_same_file_can_be_written_without_choosing_it_again(self, as_director, cha_cha):
        page = self.add(as_director, cha_cha, preview(as_director, cha_cha, csv_file(self.ROW)))
        assert "promenade is a hold of cha-cha now." in page.content.decode()
        assert cha_cha.holds.get(name="promenade").facing == 6
        confirm(as_director, cha_cha, page.context["carried"])
        assert Passage.objects.get(figure__name="whisk").exit_hold.name == "promenade"

    def test_a_hold_that_is_usual_nowhere_asks_how_the_partners_face(self, as_director, cha_cha):
        row = self.ROW.replace("promenade", "hip to hip")
        page = preview(as_director, cha_cha, csv_file(row))
        (form,) = page.context["missing_holds"]
        assert (form["facing"].value(), form.why) == ("", "")
        again = self.add(as_director, cha_cha, page, name="hip to hip", facing="")
        (form,) = again.context["missing_holds"]
        assert form.errors["facing"] == ["Say how the partners face: charts are checked by it."]
        assert not cha_cha.holds.filter(name="hip to hip").exists()
        page = self.add(as_director, cha_cha, again, name="hip to hip", facing="free")
        assert cha_cha.holds.get(name="hip to hip").facing is None
        assert not page.context["changes"].errors

    def test_with_other_mistakes_nothing_can_be_written(self, as_director, cha_cha):
        page = preview(as_director, cha_cha, csv_file(self.ROW))
        assert confirm(as_director, cha_cha, page.context["carried"]).status_code == 409
        assert not Figure.objects.exists()


class TestWriting:
    def test_everything_of_the_file_stands_afterwards(self, as_director, cha_cha):
        page = bring_in(as_director, cha_cha, *CHA_CHA)
        assert "5 new figures written." in page.content.decode()
        fan = Figure.objects.get(name="fan")
        assert (fan.level.name, fan.ticks, fan.minutes_to_introduce, fan.minutes_to_review) == (
            "Improvers",
            48,
            18,
            5,
        )
        assert set(fan.prerequisites.values_list("needs__name", flat=True)) == {"basic movement", "frame"}
        way = fan.passages.get()
        assert (way.entry_hold.name, way.exit_hold.name) == ("closed", "fan")
        assert Figure.objects.get(name="frame").is_technique
        basic = Figure.objects.get(name="basic movement")
        assert basic.notes == "Calm hips."
        assert basic.other_names == ["basic", "side basic"]

    def test_levels_come_in_the_order_of_the_file(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        assert list(cha_cha.levels.values_list("rank", "name", "most_new")) == [
            (1, "Beginners", 1),
            (2, "Improvers", 2),
        ]

    def test_figures_stand_in_the_order_of_the_file(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        bring_in(as_director, cha_cha, *CHA_CHA[:2], "Beginners,time step,,8,10,3,,,,", *CHA_CHA[2:])
        names = list(Figure.objects.in_teaching_order().values_list("name", flat=True))
        assert names == ["basic movement", "frame", "time step", "New York", "fan", "alemana"]

    def test_the_same_file_again_changes_nothing(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        page = preview(as_director, cha_cha, csv_file(*CHA_CHA))
        assert "Nothing would change" in page.content.decode()
        assert "carried" not in page.context

    def test_only_what_differs_is_changed_and_its_version_rises(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        before = dict(Figure.objects.values_list("name", "version"))
        bring_in(as_director, cha_cha, *CHA_CHA[:3], CHA_CHA[3].replace(",18,5,", ",21,5,"), CHA_CHA[4])
        after = dict(Figure.objects.values_list("name", "version"))
        assert after == before | {"fan": before["fan"] + 1}
        assert Figure.objects.get(name="fan").minutes_to_introduce == 21

    def test_figures_may_swap_their_names(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        swapped = [
            CHA_CHA[0].replace("basic; side basic", "check step"),
            CHA_CHA[2].replace("check step", "side basic"),
        ]
        rows = [
            swapped[0],
            CHA_CHA[1],
            swapped[1],
            CHA_CHA[3].replace("basic; frame", "basic movement; frame"),
        ]
        bring_in(as_director, cha_cha, *rows)
        assert FigureName.objects.get(key="check step").figure.name == "basic movement"
        assert FigureName.objects.get(key="side basic").figure.name == "New York"

    def test_a_figure_found_by_another_name_gets_a_new_main_name(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        bring_in(as_director, cha_cha, CHA_CHA[0].replace("basic movement,basic;", "basic,basic movement;"))
        basic = Figure.objects.get(name="basic")
        assert basic.names.get(is_main=True).name == "basic"
        assert Figure.objects.get(name="fan").prerequisites.filter(needs=basic).exists()

    def test_a_need_that_stays_keeps_that_it_may_share_an_evening(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        Prerequisite.objects.filter(figure__name="fan", needs__name="frame").update(same_evening=True)
        bring_in(as_director, cha_cha, CHA_CHA[3].replace("basic; frame", "frame"))
        (left,) = Prerequisite.objects.filter(figure__name="fan")
        assert (left.needs.name, left.same_evening) == ("frame", True)

    def test_a_way_that_turns_into_another_keeps_its_foot(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        Passage.objects.filter(figure__name="fan").update(entry_foot="R", exit_foot="L")
        bring_in(as_director, cha_cha, CHA_CHA[3].replace("closed,fan,", "two-hand,fan,"))
        way = Passage.objects.get(figure__name="fan")
        assert (way.entry_hold.name, way.entry_foot, way.exit_foot) == ("two-hand", "R", "L")

    def test_several_passages_between_the_same_holds_are_left_alone(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        figure, hold = Figure.objects.get(name="New York"), Hold.objects.get(dance=cha_cha, key="2H")
        Passage.objects.create(figure=figure, position=5, entry_hold=hold, exit_hold=hold, entry_foot="R")
        assert preview(as_director, cha_cha, csv_file(*CHA_CHA)).context["changes"].nothing

    def test_a_way_danced_in_a_routine_is_not_taken_away(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        way = Passage.objects.get(figure__name="New York")
        RoutineFactory(level=Level.objects.get(name="Beginners"), name="the first", dances=[way])
        page = preview(as_director, cha_cha, csv_file(CHA_CHA[2].replace("two-hand,two-hand", ",")))
        assert "is danced in “the first”; take it out of there first" in page.content.decode()

    def test_a_dance_of_its_own_may_have_the_same_names(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        other = create_dance(name="rumba", floor_use="spot")
        bring_in(as_director, other, *CHA_CHA)
        assert Figure.objects.filter(name="fan").count() == 2


class TestConfirming:
    def test_a_dance_that_changed_meanwhile_is_previewed_anew(self, as_director, cha_cha):
        carried = preview(as_director, cha_cha, csv_file(*CHA_CHA)).context["carried"]
        create_figure(
            level=Level.objects.create(dance=cha_cha, rank=1, name="Beginners"),
            name="fan",
            minutes_to_introduce=9,
        )
        page = confirm(as_director, cha_cha, carried)
        assert page.status_code == 409
        assert "was changed since you looked" in page.content.decode()
        assert Figure.objects.count() == 1
        assert confirm(as_director, cha_cha, page.context["carried"]).status_code == 302
        assert Figure.objects.count() == 5

    def test_a_dance_in_which_the_file_is_wrong_by_now_is_left_alone(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *CHA_CHA)
        carried = preview(as_director, cha_cha, csv_file(CHA_CHA[2].replace(",14,4,", ",15,4,"))).context[
            "carried"
        ]
        basic, new_york = (Figure.objects.get(name=name) for name in ("basic movement", "New York"))
        Prerequisite.objects.filter(figure=new_york).delete()
        add_prerequisite(figure=basic, needs=new_york)
        page = confirm(as_director, cha_cha, carried)
        assert "New York needs basic movement, which needs New York" in page.content.decode()
        assert Figure.objects.get(name="New York").minutes_to_introduce == 14

    def test_what_was_carried_for_one_dance_does_not_do_for_another(self, as_director, cha_cha):
        carried = preview(as_director, cha_cha, csv_file(*CHA_CHA)).context["carried"]
        other = create_dance(name="rumba")
        answer = confirm(as_director, other, carried)
        assert answer.status_code == 302
        page = as_director.get(answer["Location"])
        assert "This preview is no longer good. Choose the file again." in page.content.decode()
        assert not Figure.objects.exists()

    @pytest.mark.parametrize("carried", ["", "nonsense", "a:b:c"])
    def test_what_was_tampered_with_is_refused(self, as_director, cha_cha, carried):
        assert confirm(as_director, cha_cha, carried).status_code == 302
        assert not Figure.objects.exists()

    def test_confirming_twice_writes_once(self, as_director, cha_cha):
        carried = preview(as_director, cha_cha, csv_file(*CHA_CHA)).context["carried"]
        confirm(as_director, cha_cha, carried)
        page = confirm(as_director, cha_cha, carried)
        assert "Nothing would change" in page.content.decode()
        assert Figure.objects.count() == 5


class TestTakingOut:
    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_what_is_taken_out_comes_in_unchanged(self, as_director, cha_cha, kind):
        bring_in(as_director, cha_cha, *CHA_CHA, "Improvers,opening,,4 1/3,9,2,closed; closed,any; fan,,")
        page = preview(
            as_director, cha_cha, SimpleUploadedFile(f"f.{kind}", taken_out(as_director, cha_cha, kind))
        )
        assert page.context["changes"].nothing
        assert len(page.context["changes"].unchanged) == 6

    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_it_makes_the_same_dance_anew(self, as_director, cha_cha, kind):
        bring_in(as_director, cha_cha, *CHA_CHA)
        data = taken_out(as_director, cha_cha, kind)
        other = create_dance(name="another cha-cha", floor_use="spot")
        shown = preview(as_director, other, SimpleUploadedFile(f"f.{kind}", data))
        confirm(as_director, other, shown.context["carried"])
        assert taken_out(as_director, other, "csv") == taken_out(as_director, cha_cha, "csv")

    def test_no_cell_runs_as_a_formula(self, as_director, cha_cha):
        level = Level.objects.create(dance=cha_cha, rank=1, name="@home")
        create_figure(
            level=level,
            name='=HYPERLINK("x")',
            other_names=["-lock", "+turn"],
            minutes_to_introduce=9,
            notes="=1+1",
        )
        text = taken_out(as_director, cha_cha, "csv").decode("utf-8-sig")
        assert text.splitlines()[1] == '\'@home,"\'=HYPERLINK(""x"")",\'-lock; \'+turn,,9,0,,,,\'=1+1'
        sheet = load_workbook(io.BytesIO(taken_out(as_director, cha_cha, "xlsx"))).active
        assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}
        for kind in ("csv", "xlsx"):
            file = SimpleUploadedFile("f", taken_out(as_director, cha_cha, kind))
            assert preview(as_director, cha_cha, file).context["changes"].nothing

    def test_an_empty_dance_gives_the_bare_columns(self, as_director, cha_cha):
        assert taken_out(as_director, cha_cha, "csv").decode("utf-8-sig").strip() == HEADER

    def test_another_kind_of_file_is_not_there(self, as_director, cha_cha):
        address = reverse("curriculum:spreadsheet-out", args=[cha_cha.pk, "ods"])
        assert as_director.get(address).status_code == 404


class TestWhoMay:
    def test_an_instructor_takes_out_but_does_not_bring_in(self, client, school, instructor, cha_cha):
        client.force_login(instructor)
        assert client.get(reverse("curriculum:spreadsheet-out", args=[cha_cha.pk, "csv"])).status_code == 200
        assert client.get(reverse("curriculum:spreadsheet-in", args=[cha_cha.pk])).status_code == 403
        assert confirm(client, cha_cha, "x").status_code == 403

    def test_a_student_does_neither(self, client, school, student, cha_cha):
        client.force_login(student)
        assert client.get(reverse("curriculum:spreadsheet-out", args=[cha_cha.pk, "csv"])).status_code == 404
        assert client.get(reverse("curriculum:spreadsheet-in", args=[cha_cha.pk])).status_code == 404


class TestQueries:
    def rows(self, number):
        return [f"Beginners,figure {place},,4,10,3,closed,closed,," for place in range(number)]

    @pytest.mark.parametrize("number", [5, 60])
    def test_a_preview_costs_the_same_for_any_number_of_rows(
        self, as_director, cha_cha, number, django_assert_num_queries
    ):
        bring_in(as_director, cha_cha, *self.rows(number))
        file = csv_file(*self.rows(number))
        with django_assert_num_queries(12):
            preview(as_director, cha_cha, file)

    @pytest.mark.parametrize("number", [5, 60])
    def test_writing_costs_the_same_for_any_number_of_new_figures(
        self, as_director, cha_cha, number, django_assert_num_queries
    ):
        carried = preview(as_director, cha_cha, csv_file(*self.rows(number))).context["carried"]
        with django_assert_num_queries(37):
            confirm(as_director, cha_cha, carried)

    def test_one_import_leaves_the_dance_whole(self, as_director, cha_cha):
        bring_in(as_director, cha_cha, *self.rows(60))
        assert Dance.objects.get().figures.count() == FigureName.objects.count() == 60
