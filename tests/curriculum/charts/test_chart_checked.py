"""What cannot be danced is told before a chart is saved, and buttons help to type it without a script."""

import pytest
from django.urls import reverse

from curriculum.models import StepChart
from tests.curriculum.charts.typed import WHISK, grid_texts, open_new, typed

pytestmark = pytest.mark.django_db


class TestWhatCannotBeDanced:
    WRONG = (WHISK[0], WHISK[1].replace("R | step", "L | step", 1), WHISK[2])

    def test_is_told_at_its_row_with_the_mend_before_it_is_saved(self, as_director, whisk, way):
        page = open_new(as_director, whisk, **typed(*self.WRONG, passages=[way.pk]))
        found = page.context["editor"].grid.rows[1].findings
        assert [finding.sentence for finding in found] == [
            "Leader, row 2 (count 2): the left foot takes weight again, after row 1."
        ]
        assert "Step with the right foot" in page.content.decode()
        assert "Save it as it is" in page.content.decode()
        assert not StepChart.objects.exists()

    def test_may_be_saved_as_it_is_and_is_then_shown_as_not_sound_yet(self, as_director, whisk, way):
        page = open_new(as_director, whisk, **typed(*self.WRONG, passages=[way.pk]))
        told = page.context["editor"].told
        answer = open_new(as_director, whisk, **typed(*self.WRONG, passages=[way.pk], told=told))
        assert answer.status_code == 302
        page = as_director.get(answer["Location"]).content.decode()
        assert "Not sound yet." in page
        assert "the left foot takes weight again" in page

    def test_another_mistake_is_told_first(self, as_director, whisk, way):
        told = open_new(as_director, whisk, **typed(*self.WRONG)).context["editor"].told
        worse = (*self.WRONG[:2], self.WRONG[2].replace("12", "6", 1))
        assert open_new(as_director, whisk, **typed(*worse, told=told)).status_code == 200
        assert not StepChart.objects.exists()

    def test_of_the_whole_chart_is_told_below_the_grid(self, as_director, whisk, way):
        page = open_new(as_director, whisk, **typed(*WHISK[:2], passages=[way.pk]))
        said = [finding.sentence for finding in page.context["editor"].findings]
        assert "Leader: the counts last 2 beats, the figure has 3 beats." in said
        assert any(sentence.startswith("Leader: no one leads the change to promenade") for sentence in said)

    def test_a_count_that_no_rhythm_has_is_found(self, as_director, whisk):
        page = open_new(as_director, whisk, **typed(*WHISK[:2], WHISK[2].replace("3", "&", 1)))
        assert page.context["editor"].grid.rows[2].findings[0].mend == "Call it 3."

    def test_counts_of_no_rhythm_at_all_are_said_once(self, as_director, whisk):
        page = open_new(as_director, whisk, **typed(*(f"x{line[1:]}" for line in WHISK)))
        assert "The counts follow none of the dance’s rhythms." in page.content.decode()


class TestButtonsWithoutScript:
    def press(self, client, whisk, do, *lines, **fields):
        page = open_new(client, whisk, **typed(*(lines or WHISK), do=do, **fields))
        assert not StepChart.objects.exists()
        return page

    def test_more_rows(self, as_director, whisk):
        page = self.press(as_director, whisk, "more")
        assert len(page.context["editor"].grid.rows) == 3 + 8

    @pytest.mark.parametrize(
        ("do", "counts"),
        [
            ("below:0", ["1", "", "2", "3"]),
            ("out:1", ["1", "3"]),
            ("up:2", ["1", "3", "2"]),
            ("down:0", ["2", "1", "3"]),
            ("up:0", ["1", "2", "3"]),
            ("out:99", ["1", "2", "3"]),
            ("nonsense", ["1", "2", "3"]),
        ],
    )
    def test_rows_are_put_in_taken_out_and_moved(self, as_director, whisk, do, counts):
        rows = self.press(as_director, whisk, do).context["editor"].grid.rows
        assert [row.cells["count"] for row in rows] == counts

    def test_a_rhythm_fills_in_counts_and_ticks_beside_what_stands(self, as_director, whisk, waltz):
        feet = ("||L|step|forward|||||||", "||R|step|side|||||||")
        rhythm = waltz.rhythms.get(name="waltz").pk
        page = self.press(as_director, whisk, "rhythm", *feet, rhythm=rhythm, times=2)
        texts = grid_texts(page)
        assert [row[:3] for row in texts[:3]] == [("1", "12", "L"), ("2", "12", "R"), ("3", "12", "")]
        assert len(texts) == 6

    def test_without_a_rhythm_it_is_said_at_the_field(self, as_director, whisk):
        page = self.press(as_director, whisk, "rhythm")
        assert page.context["editor"].form.errors["rhythm"]

    def test_the_follower_s_part_starts_as_the_natural_opposite(self, as_director, whisk, way):
        leader_only = (
            "1|12|L|step|forward|||||||",
            "2|12|R|step|side|||||||",
            "3|12|L|cross|behind|||||| promenade|",
        )
        page = self.press(as_director, whisk, "follower", *leader_only, passages=[way.pk])
        assert [row[6:10] for row in grid_texts(page)] == [
            ("R", "step", "back", ""),
            ("L", "step", "side", ""),
            ("R", "cross", "behind", "+2"),
        ]

    def test_a_leader_s_part_with_a_mistake_is_asked_for_first(self, as_director, whisk):
        page = self.press(as_director, whisk, "follower", "1|x|L|step|||||||| ")
        assert "Fill in the leader’s part first" in page.content.decode()

    def test_what_follows_can_be_asked_for_while_typing(self, as_director, whisk, way):
        address = reverse("curriculum:chart-new", args=[whisk.pk])
        form = typed(*WHISK, do="check", passages=[way.pk])
        text = as_director.post(address, form, headers={"HX-Request": "true"}).content.decode()
        assert "<html" not in text
        assert "3 beats" in text
        assert "promenade; the leader’s right foot is free; the leader faces diagonal to wall" in text
