"""A chart is typed into a grid: read, checked, saved as one, and nothing typed is ever lost."""

from fractions import Fraction

import pytest
from django.urls import reverse
from django.utils.html import escape

from curriculum.chart_grid import KEYS, MOST_ROWS
from curriculum.check import check_figure, rules_of
from curriculum.models import ChartStep, Figure, FigureVersion, Passage, StepChart
from tests.curriculum.charts.typed import WHISK, cells, edit, grid_texts, open_new, typed
from tests.factories import PassageFactory

pytestmark = pytest.mark.django_db


class TestWhatIsTyped:
    def test_is_saved_for_both_roles_as_one(self, as_director, whisk, chart):
        steps = list(chart.steps.filter(role="F").values_list("count", "foot", "action", "direction", "turn"))
        assert steps == [
            ("1", "R", "step", "back", 0),
            ("2", "L", "step", "side", 2),
            ("3", "R", "cross", "behind", 0),
        ]
        last = chart.steps.get(role="L", position=2)
        assert (last.hold.name, last.cue, last.ticks) == ("promenade", "look along", 12)
        assert Figure.objects.get().version == 2

    def test_stands_in_the_grid_again(self, as_director, chart):
        page = as_director.get(reverse("curriculum:chart-edit", args=[chart.pk]))
        assert grid_texts(page) == [tuple(cells(line)) for line in WHISK]
        assert page.context["editor"].is_sound

    def test_exit_foot_and_place_are_derived_and_written_to_the_way(self, way, chart):
        way.refresh_from_db()
        assert (way.chart, way.exit_foot, way.exit_place, way.ticks) == (chart, "R", None, None)

    def test_a_turn_leads_to_another_place(self, as_director, whisk, way, waltz):
        way.exit_hold = waltz.holds.get(key="CL")
        way.save()
        turning = ["1|12|L|step|forward||R|step|back|||", "2|12|R|step|side|-2|L|step|side|-2||"]
        turning += ["3|12|L|close||-1|R|close||-1||"]
        open_new(as_director, whisk, **typed(*turning, passages=[way.pk]))
        way.refresh_from_db()
        assert (way.exit_foot, way.exit_place) == ("R", 6)

    def test_a_part_of_the_figure_may_last_as_long_as_its_chart(self, as_director, whisk, way):
        whisk.ticks = 72
        whisk.save()
        open_new(as_director, whisk, **typed(*WHISK, passages=[way.pk], own_length="on"))
        way.refresh_from_db()
        assert way.beats == Fraction(3)

    def test_a_way_that_is_no_longer_danced_so_lets_go_of_the_chart(self, as_director, way, chart):
        edit(as_director, chart, typed(*WHISK, version=2))
        way.refresh_from_db()
        assert way.chart is None

    def test_an_empty_half_is_a_held_count_and_empty_rows_are_passed_over(self, as_director, whisk):
        lines = ["1|12|L|step|forward|||||||", "|||||||||||", "2|24|R|step|side||L|step|side|||"]
        open_new(as_director, whisk, **typed(*lines, told="", name="x"))
        page = open_new(as_director, whisk, **typed(*lines))
        open_new(as_director, whisk, **typed(*lines, told=page.context["editor"].told))
        assert list(ChartStep.objects.filter(role="F").values_list("position", "action")) == [
            (0, "hold"),
            (1, "step"),
        ]


class TestWhatCannotBeRead:
    @pytest.mark.parametrize(
        ("column", "text", "said"),
        [
            ("count", "", "The count is missing; write what is said there, such as 1 or &."),
            ("ticks", "", "The ticks are missing; a whole beat is 12."),
            ("ticks", "a beat", "“a beat” is not a number of ticks; write a whole number, 12 to the beat."),
            ("ticks", "0", "0 ticks is no length; it lies between 1 and 480."),
            ("leader_action", "stepp", "“stepp” is no action; did you mean step?"),
            (
                "leader_action",
                "",
                "The action is missing; say what the foot does, or empty this half for a held count.",
            ),
            ("follower_foot", "B", "“B” is no foot; write L or R."),
            ("follower_turn", "much", "“much” is no turn; write eighths, such as 2, or -2 to the left."),
            ("hold", "promenad", "The dance has no hold “promenad”; did you mean promenade?"),
            ("cue", "x" * 201, "The cue has 201 letters; 200 are allowed."),
        ],
    )
    def test_is_said_at_its_row_and_everything_typed_stays(self, as_director, whisk, column, text, said):
        form = typed(*WHISK, name="kept", note="as typed")
        form[column][1] = text
        page = open_new(as_director, whisk, **form)
        rows = page.context["editor"].grid.rows
        assert [row.errors for row in rows[:3]] == [{}, {column: said}, {}]
        assert escape(said) in page.content.decode()
        assert grid_texts(page) == list(zip(*(form[key] for key in KEYS), strict=True))
        assert "as typed" in page.content.decode()
        assert not StepChart.objects.exists()

    def test_an_empty_chart_is_not_saved(self, as_director, whisk):
        page = open_new(as_director, whisk, **typed())
        assert "A chart has at least one row." in page.content.decode()
        assert not StepChart.objects.exists()

    def test_columns_of_unequal_length_lose_nothing(self, as_director, whisk):
        page = open_new(as_director, whisk, **typed(*WHISK, count=["1"]))
        assert [row[1] for row in grid_texts(page)] == ["12", "12", "12"]

    def test_a_long_chart_is_read_whole_but_gets_no_more_rows(self, as_director, whisk, waltz):
        lines = WHISK * (MOST_ROWS // 3 + 1)
        for do in ("more", "below:0", "rhythm"):
            form = typed(*lines, do=do, rhythm=waltz.rhythms.first().pk)
            assert grid_texts(open_new(as_director, whisk, **form)) == [tuple(cells(line)) for line in lines]

    def test_a_version_that_is_no_number_saves_nothing(self, as_director, whisk):
        open_new(as_director, whisk, **typed(*WHISK, version="x"))
        assert not StepChart.objects.exists()


class TestTwoAtOnce:
    def test_the_second_is_shown_both_versions_and_loses_nothing(self, as_director, way, chart):
        first = typed(
            WHISK[0].replace("low", "lower"), *WHISK[1:], name="whole", version=2, passages=[way.pk]
        )
        edit(as_director, chart, first)
        second = typed(
            *WHISK[:2], WHISK[2].replace("look along", "heads"), name="whole", version=2, passages=[way.pk]
        )
        page = edit(as_director, chart, second)
        assert page.status_code == 409
        assert "You changed this figure since, in another window" in page.content.decode()
        differ = [(place.where, place.stands, place.typed) for place in page.context["editor"].differ]
        assert [where for where, _, _ in differ] == ["Row 1", "Row 3"]
        assert "lower" in differ[0][1]
        assert "heads" in differ[1][2]
        assert grid_texts(page)[2][-1] == "heads"
        assert chart.steps.filter(cue="heads").count() == 0

    def test_having_seen_both_the_second_may_save(self, as_director, way, chart):
        form = typed(*WHISK, name="second", version=1, passages=[way.pk])
        page = edit(as_director, chart, form)
        version = page.context["editor"].form["version"].value()
        assert edit(as_director, chart, form | {"version": version}).status_code == 302
        chart.refresh_from_db()
        assert chart.name == "second"

    def test_a_new_chart_is_not_lost_because_the_figure_was_changed(self, as_director, whisk):
        Figure.objects.update(version=5)
        page = open_new(as_director, whisk, **typed(*WHISK))
        assert page.status_code == 409
        assert grid_texts(page)[0][-1] == "low"
        assert not StepChart.objects.exists()


class TestTakingAway:
    def test_the_way_stays_and_the_history_keeps_the_chart(self, as_director, way, chart):
        edit(as_director, chart, {"do": "take-away", "version": 2})
        way.refresh_from_db()
        assert (way.chart, way.exit_foot) == (None, "R")
        assert not StepChart.objects.exists()
        assert FigureVersion.objects.get(version=2).snapshot["charts"][0]["name"] == "whole"

    def test_of_what_somebody_changed_meanwhile_is_refused(self, as_director, chart):
        answer = edit(as_director, chart, {"do": "take-away", "version": 1})
        assert answer["Location"] == reverse("curriculum:chart-edit", args=[chart.pk])
        assert StepChart.objects.exists()


class TestWhoMay:
    def test_an_instructor_may_neither_open_nor_save_it(self, client, instructor, chart, whisk):
        client.force_login(instructor)
        for name, pk in (("chart-new", whisk.pk), ("chart-edit", chart.pk)):
            address = reverse(f"curriculum:{name}", args=[pk])
            assert client.get(address).status_code == 403
            assert client.post(address, typed(*WHISK)).status_code == 403

    def test_it_is_got_or_sent_and_nothing_else(self, as_director, chart):
        assert as_director.put(reverse("curriculum:chart-edit", args=[chart.pk])).status_code == 405

    def test_a_technique_has_no_chart(self, as_director, whisk):
        whisk.kind, whisk.ticks = "technique", None
        whisk.save()
        assert as_director.get(reverse("curriculum:chart-new", args=[whisk.pk])).status_code == 404


class TestTheFigurePage:
    def test_a_figure_whose_chart_is_to_come_raises_no_alarm(self, as_director, whisk, way):
        page = as_director.get(reverse("curriculum:figure", args=[whisk.pk])).content.decode()
        assert "The chart is still to come." in page
        assert "Not sound yet" not in page

    def test_a_sound_chart_says_nothing(self, as_director, whisk, chart):
        page = as_director.get(reverse("curriculum:figure", args=[whisk.pk])).content.decode()
        assert "Not sound yet" not in page

    def test_a_chart_is_checked_in_every_way_that_dances_it(self, whisk, way, chart, waltz):
        wrong = PassageFactory(
            figure=whisk, position=1, entry_hold=way.entry_hold, entry_foot="R", chart=chart
        )
        rows = Passage.objects.select_related("figure", "entry_hold", "exit_hold")
        charts = StepChart.objects.prefetch_related("steps__hold")
        found = check_figure(whisk, charts, list(rows.filter(pk=way.pk)), rules_of(waltz))
        assert found == {chart.pk: ()}
        found = check_figure(whisk, charts, list(rows.filter(pk=wrong.pk)), rules_of(waltz))
        assert "begins with the left foot" in found[chart.pk][0].sentence


class TestQueries:
    @pytest.mark.parametrize("rows", [3, 60])
    def test_the_grid_costs_the_same_for_any_number_of_rows_and_ways(
        self, as_director, whisk, way, rows, django_assert_num_queries
    ):
        chart = StepChart.objects.create(figure=whisk)
        for role in "LF":
            for position in range(rows):
                ChartStep.objects.create(
                    chart=chart,
                    role=role,
                    position=position,
                    count="1",
                    ticks=12,
                    action="hold",
                    hold=way.exit_hold,
                )
        for position in range(1, rows // 3 + 1):
            PassageFactory(figure=whisk, position=position, chart=chart, entry_hold=way.entry_hold)
        address = reverse("curriculum:chart-edit", args=[chart.pk])
        with django_assert_num_queries(14):
            assert as_director.get(address).status_code == 200
