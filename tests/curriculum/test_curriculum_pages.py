"""The pages of dances, levels and figures: what they show, to whom, and at what cost."""

import pytest
from django.urls import reverse

from curriculum.access import get_dance_for, get_figure_for, get_routine_for, levels_for
from curriculum.chart_table import moments, turn_words
from curriculum.models import (
    Caution,
    ChartStep,
    Dance,
    Fault,
    FigureName,
    Hold,
    Level,
    StepChart,
)
from tests.factories import (
    CourseFactory,
    DanceFactory,
    EnrolmentFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def waltz(school):
    return DanceFactory(name="waltz", beats_per_bar=3, floor_use="travels")


@pytest.fixture
def beginners(waltz):
    return LevelFactory(dance=waltz, rank=1, name="Beginners")


@pytest.fixture
def improvers(waltz):
    return LevelFactory(dance=waltz, rank=2, name="Improvers")


def text_of(client, name, *arguments, **query):
    page = client.get(reverse(f"curriculum:{name}", args=arguments), query)
    assert page.status_code == 200
    return page.content.decode()


def in_order(text, *words):
    places = [text.index(word) for word in words]
    return places == sorted(places)


class TestTheDances:
    def test_a_school_without_dances_is_told_what_to_do_first(self, as_director):
        assert "No dance yet. Make one first" in text_of(as_director, "dances")

    def test_metre_floor_and_the_number_of_figures_on_each_level(self, as_director, beginners, improvers):
        FigureFactory.create_batch(3, level=beginners)
        text = text_of(as_director, "dances")
        assert "3/4" in text
        assert "travels round the room" in text
        assert "Beginners <b>3</b>" in text
        assert "Improvers <b>0</b>" in text

    def test_a_new_dance_comes_with_holds_and_rhythms_and_its_levels(self, as_director):
        form = {"name": "waltz", "beats_per_bar": 3, "beat_unit": 4, "floor_use": "travels"}
        form["levels"] = "Beginners\n  Improvers \n\n"
        answer = as_director.post(reverse("curriculum:dance-new"), form)
        dance = Dance.objects.get()
        assert answer["Location"] == reverse("curriculum:dance", args=[dance.pk])
        assert list(dance.levels.values_list("rank", "name")) == [(1, "Beginners"), (2, "Improvers")]
        assert dance.holds.filter(name="promenade").exists()
        assert dance.rhythms.filter(name="waltz").exists()

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"name": ""}, "name"),
            ({"name": "Waltz"}, "name"),
            ({"beats_per_bar": 0}, "beats_per_bar"),
            ({"floor_use": "air"}, "floor_use"),
            ({"levels": "one\nOne"}, "levels"),
        ],
    )
    def test_what_is_wrong_with_a_new_dance_is_said_at_the_field(self, as_director, waltz, change, field):
        form = {"name": "tango", "beats_per_bar": 2, "beat_unit": 4, "floor_use": "travels"} | change
        page = as_director.post(reverse("curriculum:dance-new"), form)
        assert page.context["form"].errors[field]
        assert Dance.objects.count() == 1

    def test_a_tempo_range_the_wrong_way_round_is_refused(self, as_director):
        form = {"name": "tango", "beats_per_bar": 2, "beat_unit": 4, "floor_use": "travels"}
        form |= {"slowest_bars_per_minute": 40, "quickest_bars_per_minute": 30}
        errors = as_director.post(reverse("curriculum:dance-new"), form).context["form"].errors
        assert errors["quickest_bars_per_minute"] == ["This must be above 0 and not below the slowest."]

    def test_a_new_level_goes_on_top(self, as_director, waltz, beginners):
        address = reverse("curriculum:level-new", args=[waltz.pk])
        as_director.post(address, {"name": "Improvers", "most_new": 2})
        assert list(waltz.levels.values_list("rank", "name")) == [(1, "Beginners"), (2, "Improvers")]

    def test_a_level_s_name_is_there_once(self, as_director, waltz, beginners):
        address = reverse("curriculum:level-new", args=[waltz.pk])
        page = as_director.post(address, {"name": "beginners", "most_new": 2})
        assert page.context["form"].errors["name"] == ["waltz has a level called beginners already."]


class TestOneDance:
    def test_levels_from_the_lowest_up_with_their_figures_in_order(
        self, as_director, waltz, beginners, improvers
    ):
        FigureFactory(level=improvers, name="whisk", order=10)
        FigureFactory(level=beginners, name="natural turn", order=20)
        FigureFactory(level=beginners, name="box step", order=10)
        text = text_of(as_director, "dance", waltz.pk)
        assert in_order(text, ">Beginners</h2>", "box step", "natural turn", ">Improvers</h2>", "whisk")

    def test_beats_minutes_and_needs(self, as_director, waltz, beginners):
        box = FigureFactory(level=beginners, name="box step", ticks=72, minutes_to_introduce=12)
        FigureFactory(level=beginners, name="left box turn", ticks=54, minutes_to_introduce=14, needs=[box])
        FigureFactory(level=beginners, name="frame", ticks=None, kind="technique")
        text = text_of(as_director, "dance", waltz.pk)
        assert "12 min" in text
        assert ">4.5</td>" in text
        assert f'<a href="{reverse("curriculum:figure", args=[box.pk])}">box step</a></td>' in text
        assert '<span class="tag">technique</span>' in text

    def test_a_figure_is_found_by_any_of_its_names(self, as_director, waltz, beginners):
        figure = FigureFactory(level=beginners, name="natural turn")
        FigureName.objects.create(dance=waltz, figure=figure, name="Right Turn")
        FigureFactory(level=beginners, name="box step")
        text = text_of(as_director, "dance", waltz.pk, q="right  t")
        assert "natural turn" in text
        assert "box step" not in text

    def test_a_name_typed_wrong_is_guessed(self, as_director, waltz, beginners):
        FigureFactory(level=beginners, name="hesitation change")
        text = text_of(as_director, "dance", waltz.pk, q="hesitasion chage")
        assert "0 found" in text
        assert '<a href="?q=hesitation%20change">hesitation change</a>' in text

    def test_one_level_alone(self, as_director, waltz, beginners, improvers):
        FigureFactory(level=beginners, name="box step")
        FigureFactory(level=improvers, name="whisk")
        text = text_of(as_director, "dance", waltz.pk, level=str(improvers.pk))
        assert "whisk" in text
        assert "box step" not in text

    def test_a_level_s_routines_are_named(self, as_director, waltz, beginners):
        routine = RoutineFactory(level=beginners, name="once round")
        assert f'<a href="{reverse("curriculum:routine", args=[routine.pk])}">once round</a>' in text_of(
            as_director, "dance", waltz.pk
        )

    def test_an_empty_dance_says_what_to_do_first(self, as_director, waltz):
        assert "waltz has no level yet. Bring in a spreadsheet" in text_of(as_director, "dance", waltz.pk)

    def test_an_instructor_sees_no_buttons_to_change_it(self, client, instructor, waltz, beginners):
        client.force_login(instructor)
        text = text_of(client, "dance", waltz.pk)
        assert "New figure" not in text
        assert reverse("curriculum:spreadsheet-out", args=[waltz.pk, "csv"]) in text


class TestOneFigure:
    def test_a_chart_stands_against_the_counts_for_both_roles(self, as_director, waltz, beginners):
        figure = FigureFactory(level=beginners, name="natural turn", ticks=36)
        chart = StepChart.objects.create(figure=figure)
        promenade = HoldFactory(dance=waltz, key="PR", name="promenade")
        for position, (count, foot) in enumerate([("1", "R"), ("2", "L"), ("3", "R")]):
            ChartStep.objects.create(
                chart=chart,
                role="L",
                position=position,
                count=count,
                ticks=12,
                foot=foot,
                action="step",
                turn=position,
            )
            ChartStep.objects.create(
                chart=chart,
                role="F",
                position=position,
                count=count,
                ticks=12,
                foot="L" if foot == "R" else "R",
                action="close" if position == 2 else "step",
                hold=promenade if position == 2 else None,
                cue="look along the room" if position == 2 else "",
            )
        text = text_of(as_director, "figure", figure.pk)
        assert '<span class="role-L">leader</span>' in text
        assert '<span class="role-F">follower</span>' in text
        assert '<span class="turn">¼ to the right</span>' in text
        assert "<b>promenade</b>: look along the room" in text
        assert "The chart is still to come" not in text

    def test_without_a_chart_it_says_so_quietly(self, as_director, beginners):
        figure = FigureFactory(level=beginners)
        text = text_of(as_director, "figure", figure.pk)
        assert "The chart is still to come." in text
        assert reverse("curriculum:chart-new", args=[figure.pk]) in text

    def test_a_technique_waits_for_no_chart(self, as_director, beginners):
        frame = FigureFactory(level=beginners, ticks=None, kind="technique")
        assert "still to come" not in text_of(as_director, "figure", frame.pk)

    def test_ways_in_and_out_with_the_free_foot_in_words(self, as_director, waltz, beginners):
        closed, promenade = (
            HoldFactory(dance=waltz, name="closed"),
            HoldFactory(dance=waltz, name="promenade"),
        )
        figure = FigureFactory(level=beginners, name="whisk")
        PassageFactory(
            figure=figure,
            entry_hold=closed,
            entry_foot="L",
            entry_place=1,
            exit_hold=promenade,
            exit_foot="R",
            give=1,
        )
        text = text_of(as_director, "figure", figure.pk)
        assert "closed; the leader’s left foot is free; the leader faces diagonal to wall" in text
        assert "promenade; the leader’s right foot is free; may be turned 1 eighth more or less" in text

    def test_on_a_slot_the_place_is_the_follower_s_end(self, as_director):
        level = LevelFactory(dance=DanceFactory(floor_use="slot"))
        figure = FigureFactory(level=level)
        PassageFactory(figure=figure, entry_place=0, exit_place=1)
        assert "in any hold; either foot is free; the follower is at end 0 of the slot" in text_of(
            as_director, "figure", figure.pk
        )

    def test_cautions_stand_before_how_it_goes(self, as_director, beginners):
        figure = FigureFactory(level=beginners)
        Caution.objects.create(figure=figure, text="Arms overhead: nobody pulls.")
        text = text_of(as_director, "figure", figure.pk)
        assert in_order(text, 'class="note caution"', "Arms overhead: nobody pulls.", "How it goes")

    def test_words_faults_needs_and_what_it_opens(self, as_director, beginners, improvers):
        box = FigureFactory(level=beginners, name="box step")
        figure = FigureFactory(
            level=beginners,
            name="natural turn",
            lead="the ribs",
            response="a longer step",
            notes="slowly",
            needs=[box],
        )
        Fault.objects.create(figure=figure, fault="rushed", remedy="count aloud")
        opened = FigureFactory(level=improvers, name="spin turn", needs=[figure])
        routine = RoutineFactory(level=improvers, name="once round", dances=[PassageFactory(figure=figure)])
        text = text_of(as_director, "figure", figure.pk)
        assert in_order(
            text, "the ribs", "a longer step", "slowly", "rushed", "count aloud", "box step", "spin turn"
        )
        assert reverse("curriculum:figure", args=[opened.pk]) in text
        assert reverse("curriculum:routine", args=[routine.pk]) in text


class TestCountsOnTheRuler:
    def chart(self, beginners, counts):
        chart = StepChart.objects.create(figure=FigureFactory(level=beginners))
        for position, (count, ticks) in enumerate(counts):
            ChartStep.objects.create(
                chart=chart, role="L", position=position, count=count, ticks=ticks, foot="L", action="step"
            )
        return chart

    def test_a_chart_that_begins_on_two_has_its_bar_line_at_one(self, beginners):
        counts = [("2", 12), ("3", 12), ("4", 6), ("&", 6), ("1", 12)]
        rows = moments(self.chart(beginners, counts), beats_per_bar=4)
        assert [(row.count, row.mark) for row in rows] == [
            ("2", "beat"),
            ("3", "beat"),
            ("4", "beat"),
            ("&", "off"),
            ("1", "bar"),
        ]

    def test_roles_that_step_at_different_moments_each_keep_their_own(self, beginners):
        chart = self.chart(beginners, [("1", 12), ("2", 12)])
        ChartStep.objects.create(
            chart=chart, role="F", position=0, count="1", ticks=6, foot="R", action="touch"
        )
        ChartStep.objects.create(
            chart=chart, role="F", position=1, count="&", ticks=18, foot="R", action="step"
        )
        rows = moments(chart, beats_per_bar=4)
        assert [(row.count, row.leader is None, row.follower is None) for row in rows] == [
            ("1", False, False),
            ("&", True, False),
            ("2", False, True),
        ]

    def test_turn_in_words(self):
        assert [turn_words(eighths) for eighths in (0, 1, -4, 8, 10)] == [
            "",
            "⅛ to the right",
            "½ to the left",
            "a whole turn to the right",
            "1¼ to the right",
        ]


class TestAStudent:
    @pytest.fixture
    def in_beginners(self, client, school, student, beginners):
        EnrolmentFactory(course=CourseFactory(level=beginners), person=student)
        client.force_login(student)
        return client

    def test_reads_the_levels_of_their_courses_only(self, in_beginners, waltz, beginners, improvers):
        FigureFactory(level=beginners, name="box step")
        FigureFactory(level=improvers, name="whisk")
        text = text_of(in_beginners, "dance", waltz.pk)
        assert "box step" in text
        assert "whisk" not in text
        assert "Improvers" not in text

    def test_reads_the_levels_below_too(self, client, school, student, beginners, improvers):
        EnrolmentFactory(course=CourseFactory(level=improvers), person=student)
        assert list(levels_for(student)) == [beginners, improvers]

    def test_a_figure_or_routine_above_is_not_there(self, in_beginners, improvers):
        figure, routine = FigureFactory(level=improvers), RoutineFactory(level=improvers)
        assert in_beginners.get(reverse("curriculum:figure", args=[figure.pk])).status_code == 404
        assert in_beginners.get(reverse("curriculum:routine", args=[routine.pk])).status_code == 404

    def test_another_dance_is_not_there(self, in_beginners):
        other = LevelFactory().dance
        assert in_beginners.get(reverse("curriculum:dance", args=[other.pk])).status_code == 404

    def test_what_a_figure_opens_above_is_not_named(self, in_beginners, beginners, improvers):
        box = FigureFactory(level=beginners, name="box step")
        FigureFactory(level=improvers, name="secret spin", needs=[box])
        assert "secret spin" not in text_of(in_beginners, "figure", box.pk)

    def test_somebody_on_the_waiting_list_reads_nothing(self, school, student, beginners):
        EnrolmentFactory(course=CourseFactory(level=beginners), person=student, waiting=True)
        assert not levels_for(student).exists()

    def test_an_instructor_reaches_everything(self, school, instructor, waltz, improvers):
        figure, routine = FigureFactory(level=improvers), RoutineFactory(level=improvers)
        assert get_dance_for(instructor, waltz.pk) == waltz
        assert get_figure_for(instructor, figure.pk) == figure
        assert get_routine_for(instructor, routine.pk) == routine


class TestQueries:
    def fill(self, dances, figures):
        """So many dances of two levels with so many figures, each needing the one before it."""
        for _ in range(dances):
            dance = DanceFactory()
            hold = HoldFactory(dance=dance)
            for rank in (1, 2):
                level = LevelFactory(dance=dance, rank=rank)
                before = []
                for _ in range(figures):
                    figure = FigureFactory(level=level, needs=before)
                    before = [figure]
                    self.furnish(figure, hold)
        return Dance.objects.first(), figure

    def furnish(self, figure, hold):
        chart = StepChart.objects.create(figure=figure)
        for position in range(3):
            ChartStep.objects.create(
                chart=chart, role="L", position=position, count="1", ticks=12, action="step", hold=hold
            )
        ways = [
            PassageFactory(figure=figure, entry_hold=hold, exit_hold=hold, chart=chart, position=place)
            for place in range(2)
        ]
        RoutineFactory(level=figure.level, name=figure.name, dances=ways)
        Fault.objects.create(figure=figure, fault="x", remedy="y")

    @pytest.mark.parametrize(("dances", "figures"), [(1, 2), (4, 12)])
    def test_pages_cost_the_same_at_any_size(self, as_director, dances, figures, django_assert_num_queries):
        dance, figure = self.fill(dances, figures)
        for name, argument, queries in [
            ("dances", (), 6),
            ("dance", (dance.pk,), 12),
            ("figure", (figure.pk,), 18),
            ("figure-edit", (figure.pk,), 13),
            ("prerequisite-add", (figure.pk,), 7),
        ]:
            with django_assert_num_queries(queries):
                text_of(as_director, name, *argument)

    def test_a_student_s_page_asks_once_which_levels_are_open(
        self, client, school, student, django_assert_num_queries
    ):
        dance, _ = self.fill(1, 3)
        EnrolmentFactory(course=CourseFactory(level=Level.objects.get(dance=dance, rank=2)), person=student)
        client.force_login(student)
        with django_assert_num_queries(15):
            text_of(client, "dance", dance.pk)


def test_a_way_whose_holds_are_open_still_has_words(as_director, beginners):
    figure = FigureFactory(level=beginners)
    PassageFactory(figure=figure)
    assert "in any hold; either foot is free" in text_of(as_director, "figure", figure.pk)
    assert not Hold.objects.exists()
