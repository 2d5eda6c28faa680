"""A chart to be practised on the figure's page: its counts as data and text, its prints drawn and said."""

import json
import re
from fractions import Fraction
from itertools import combinations

import pytest

from curriculum.count_player import count_player
from curriculum.foot_map import foot_map
from curriculum.foot_map_picture import FOOT
from curriculum.models import ChartStep, Figure, StepChart
from lessons.demo.dance_rows import load_dance

pytestmark = pytest.mark.django_db


def chart_of(dance, figure, name="whole"):
    return StepChart.objects.get(figure__dance__name=dance, figure__name=figure, name=name)


def map_of(chart):
    passages = chart.figure.passages.select_related("figure", "entry_hold", "exit_hold")
    return foot_map(chart, passages, chart.figure.dance)


def page_of(client, chart):
    return client.get(f"/figures/{chart.figure_id}/").content.decode()


@pytest.fixture
def waltz():
    load_dance("waltz")
    return lambda figure, name="whole": chart_of("waltz", figure, name)


@pytest.fixture
def cha_cha():
    load_dance("cha_cha")
    return lambda figure, name="whole": chart_of("cha-cha", figure, name)


@pytest.fixture
def swing():
    load_dance("west_coast_swing")
    return lambda figure, name="whole": chart_of("West Coast swing", figure, name)


class TestTheFootMap:
    def test_a_box_has_a_print_for_each_count_of_either_role_and_none_of_the_start_left_over(self, waltz):
        leader, follower, couple = map_of(waltz("box step")).pictures
        for picture in (leader, follower):
            assert [mark.numbers[0].text for mark in picture.marks] == list("123456")
            assert {mark.kind for mark in picture.marks} == {"step"}
        assert len(couple.marks) == 12

    def test_where_count_and_number_are_the_same_no_count_stands_beside_the_print(self, waltz):
        assert not map_of(waltz("box step")).pictures[0].has_counts

    def test_a_spot_stepped_on_again_is_one_print_with_both_numbers_and_both_counts(self, cha_cha):
        picture = map_of(cha_cha("basic movement")).pictures[0]
        numbers = {" ".join(text.text for text in mark.numbers): mark.label.text for mark in picture.marks
                   if mark.label}  # fmt: skip
        assert numbers["2 10"] == "3 1"
        assert numbers["1"] == "2"

    def test_a_touch_is_drawn_apart_from_a_step_and_the_legend_says_so(self, waltz, as_director):
        chart = waltz("balance forward and back")
        assert [mark.kind for mark in map_of(chart).pictures[0].marks] == ["step", "touch", "step", "touch"]
        assert "Dashed: no weight." in page_of(as_director, chart)

    def test_the_print_points_where_the_body_faces(self, waltz):
        picture = map_of(waltz("natural turn")).pictures[0]
        # facing DW, after a quarter DWA, backing LOD; then the other three eighths (table of alignments)
        angles = [mark.angle for mark in picture.marks if mark.kind == "step"]
        assert angles == [45, 135, 180, 180, 315, 315]

    def test_a_travelling_dance_has_a_line_of_dance_and_a_rose_and_says_where_it_begins(self, waltz):
        drawn = map_of(waltz("natural turn"))
        assert drawn.pictures[0].has_line_of_dance
        assert drawn.pictures[0].middle is None
        assert drawn.drawn_from == "diagonal to wall"
        assert [point.name for point in drawn.rose][:3] == ["LOD", "DW", "W"]

    def test_a_slot_dance_has_its_slot_and_no_rose(self, swing):
        drawn = map_of(swing("left side pass"))
        assert drawn.pictures[0].middle is not None
        assert not drawn.pictures[0].has_line_of_dance
        assert drawn.rose == ()

    def test_everything_lies_inside_the_picture_and_no_print_hides_another(self, waltz, cha_cha, swing):
        for chart in StepChart.objects.select_related("figure__dance"):
            for picture in map_of(chart).pictures[:2]:
                places = [complex(mark.x, mark.y) for mark in picture.marks]
                for place in places:
                    assert FOOT / 2 < place.real < picture.width - FOOT / 2, chart
                    assert FOOT / 2 < place.imag < picture.height - FOOT / 2, chart
                assert all(abs(one - other) > 8 for one, other in combinations(places, 2)), chart

    def test_the_same_is_said_in_words(self, waltz, as_director):
        page = page_of(as_director, waltz("natural turn"))
        assert "count 2: left foot, step side, turning ¼ to the right" in page
        described = re.search(r'role="img" aria-labelledby="([\w-]+)" aria-describedby="([\w-]+)"', page)
        assert all(f'id="{name}"' in page for name in described.groups())

    def test_a_chart_of_one_role_alone_is_drawn(self, waltz):
        chart = waltz("box step")
        chart.steps.filter(role="F").delete()
        assert len(map_of(chart).pictures[0].marks) == 6

    def test_a_chart_without_rows_has_neither_map_nor_player(self, waltz, as_director):
        chart = waltz("box step")
        chart.steps.all().delete()
        assert map_of(chart) is None
        assert count_player(chart, chart.figure.dance) is None
        assert as_director.get(f"/figures/{chart.figure_id}/").status_code == 200


class TestTheCounts:
    def test_a_cha_cha_begins_a_beat_into_its_bar(self, cha_cha):
        player = count_player(cha_cha("basic movement"), cha_cha("basic movement").figure.dance)
        assert (player.score["begins"], player.score["beatsPerBar"], player.score["ticks"]) == (12, 4, 96)
        assert [count.said for count in player.counts] == list("234&1234&1")
        assert player.tempo == 31

    def test_a_count_on_which_only_one_role_waits_is_not_held(self, swing, waltz):
        chart = swing("sugar tuck")
        waits = [count for count in count_player(chart, chart.figure.dance).counts if count.follower is None]
        assert [(count.said, count.is_held) for count in waits] == [("&", False)]
        chart = waltz("balance forward and back")
        held = [count.said for count in count_player(chart, chart.figure.dance).counts if count.is_held]
        assert held == ["3", "6"]

    def test_roles_with_counts_of_their_own_are_put_together_in_time(self, waltz):
        chart = waltz("box step")
        chart.steps.filter(role="F").delete()
        ChartStep.objects.create(
            chart=chart, role="F", position=0, count="S", ticks=18, foot="R", action="step"
        )
        ChartStep.objects.create(
            chart=chart, role="F", position=1, count="&", ticks=54, foot="L", action="step"
        )
        counts = count_player(chart, chart.figure.dance).counts
        assert [(Fraction(count.at, 12), count.leader, count.follower) for count in counts[:3]] == [
            (0, 0, 0),
            (1, 1, None),
            (Fraction(3, 2), None, 1),
        ]

    def test_a_dance_that_names_no_tempo_can_be_played_too(self, waltz):
        chart = waltz("box step")
        chart.figure.dance.slowest_bars_per_minute = chart.figure.dance.quickest_bars_per_minute = None
        player = count_player(chart, chart.figure.dance)
        assert (player.slowest, player.quickest) == (20, 60)

    def test_the_page_carries_them_as_data_and_as_text_and_nothing_inline(self, cha_cha, as_director):
        chart = cha_cha("basic movement", "first bar")
        page = page_of(as_director, chart)
        data = re.search(rf'<script id="score-{chart.pk}" type="application/json">(.*?)</script>', page)
        assert json.loads(data[1])["ticks"] == 48
        assert page.count("data-count>") == 20
        assert " style=" not in page
        assert "onclick" not in page


class TestOneRole:
    """Who chose to see the leader's part reads it alone on every chart, and hears its counts alone."""

    @pytest.fixture
    def page(self, as_director):
        def choose_and_open(chart, role):
            address = f"/figures/{chart.figure_id}/"
            answer = as_director.post("/charts-as/", {"charts_as": role, "next": address})
            assert answer.url == address
            return as_director.get(address)

        return choose_and_open

    def test_has_its_own_rows_prints_and_words(self, waltz, page):
        chart = waltz("natural turn")
        answer = page(chart, "follower")
        text = answer.content.decode()
        table = text[text.index('<table class="register chart') : text.index("</table>")]
        assert '<span class="role-F">follower</span>' in table
        assert '<span class="role-L">leader</span>' not in table
        assert table.count('<td class="step">') == 6
        assert "print-follower" in text
        assert "print-leader" not in text
        assert "Both together on the floor" not in text
        assert "<h3>Leader</h3>" not in text

    @pytest.mark.parametrize("role", ["leader", "follower"])
    def test_rows_and_counts_go_together(self, swing, page, role):
        chart = swing("sugar tuck")
        (table, *_) = page(chart, role).context["page"].charts
        assert [row.count for row in table.rows] == [count.said for count in table.player.counts]
        other = "follower" if role == "leader" else "leader"
        assert all(getattr(count, other) is None for count in table.player.counts)

    def test_what_only_the_other_waits_for_is_no_count_of_one_s_own(self, swing):
        chart = swing("sugar tuck")
        dance = chart.figure.dance
        both, follower = count_player(chart, dance), count_player(chart, dance, role="follower")
        assert len(follower.counts) == chart.steps.filter(role="F").count()
        assert follower.score["ticks"] == both.score["ticks"]

    def test_keeps_the_holds_though_the_other_s_row_names_them(self, swing, page):
        chart = swing("sugar push")
        for role in ("leader", "follower"):
            (table, *_) = page(chart, role).context["page"].charts
            assert {row.hold for row in table.rows if row.hold} == {"two-hand", "left-to-right"}

    def test_is_kept_on_the_next_figure(self, waltz, as_director, page):
        text = page(waltz("natural turn"), "leader").content.decode()
        assert 'value="leader" aria-pressed="true"' in text
        other = page_of(as_director, waltz("box step"))
        assert 'value="leader" aria-pressed="true"' in other
        assert "print-follower" not in other
        assert 'value="both" aria-pressed="true"' in page(waltz("box step"), "both").content.decode()

    def test_who_teaches_and_chose_nothing_reads_both(self, waltz, as_director):
        text = page_of(as_director, waltz("box step"))
        assert 'value="both" aria-pressed="true"' in text
        assert "print-leader" in text
        assert "print-follower" in text


class TestPartsAndAnchors:
    def test_a_chart_of_a_part_is_folded_away_behind_the_whole(self, waltz, as_director):
        page = as_director.get(f"/figures/{waltz('natural turn').figure_id}/")
        whole, *parts = page.context["page"].charts
        assert (whole.chart.name, whole.part_beats) == ("whole", None)
        assert {part.part_beats for part in parts} == {3}
        assert "<summary>Only “4 to 6”, 3 beats</summary>" in page.content.decode()

    def test_a_figure_with_charts_of_parts_alone_folds_none(self, waltz, as_director):
        chart = waltz("natural turn")
        figure = chart.figure_id
        chart.delete()
        page = as_director.get(f"/figures/{figure}/")
        assert all(table.part_beats is None for table in page.context["page"].charts)

    def test_the_row_of_the_anchor_stands_out(self, swing, as_director):
        chart = swing("sugar push")
        rows = as_director.get(f"/figures/{chart.figure_id}/").context["page"].charts[0].rows
        assert [row.count for row in rows if row.is_anchor] == ["5"]

    @pytest.mark.parametrize("role", ["leader", "follower"])
    def test_the_anchor_is_said_to_either_role(self, swing, as_director, director, role):
        director.charts_as = role
        director.save()
        text = page_of(as_director, swing("sugar push"))
        assert "anchor: settle away from each other" in text


class TestWhatIsKept:
    """A page keeps what it has drawn; what was changed must show at once all the same."""

    @pytest.mark.parametrize(
        ("change", "shows"),
        [
            (lambda chart: chart.steps.filter(position=0).update(cue="softly now"), "softly now"),
            (lambda chart: StepChart.objects.filter(pk=chart.pk).update(note="a new note"), "a new note"),
            (lambda chart: chart.steps.filter(position=1).update(turn=2), "turning ¼ to the right"),
            (
                lambda chart: type(chart.figure.dance).objects.update(quickest_bars_per_minute=33),
                "Bars a minute, 28 to 33",
            ),
        ],
        ids=["a cue", "a note", "a turn", "the tempo"],
    )
    def test_a_change_shows_at_once(self, waltz, as_director, change, shows):
        chart = waltz("box step")
        assert shows not in page_of(as_director, chart)
        change(chart)
        assert shows in page_of(as_director, chart)

    def test_a_name_shows_at_once(self, waltz, as_director):
        chart = waltz("box step")
        caption = '<caption class="visually-hidden">'
        assert f"{caption}whole" in page_of(as_director, chart)
        StepChart.objects.filter(pk=chart.pk).update(name="")
        Figure.objects.filter(pk=chart.figure_id).update(name="square")
        assert f"{caption}square" in page_of(as_director, chart)
