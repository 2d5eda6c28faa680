"""The pages of dances and levels: what they show, and what the pages of the curriculum cost."""

import pytest
from django.urls import reverse

from curriculum.models import (
    ChartStep,
    Dance,
    Fault,
    FigureName,
    Level,
    StepChart,
)
from tests.curriculum.pages import in_order, text_of
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


class TestTheDances:
    def test_a_school_without_dances_is_told_what_to_do_first(self, as_director):
        assert "No dance yet. Make one first" in text_of(as_director, "dances")

    def test_metre_floor_and_the_number_of_figures_on_each_level(self, as_director, level, improvers):
        FigureFactory.create_batch(3, level=level)
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

    def test_a_new_level_goes_on_top(self, as_director, waltz, level):
        address = reverse("curriculum:level-new", args=[waltz.pk])
        as_director.post(address, {"name": "Improvers", "most_new": 2})
        assert list(waltz.levels.values_list("rank", "name")) == [(1, "Beginners"), (2, "Improvers")]

    def test_a_level_s_name_is_there_once(self, as_director, waltz, level):
        address = reverse("curriculum:level-new", args=[waltz.pk])
        page = as_director.post(address, {"name": "beginners", "most_new": 2})
        assert page.context["form"].errors["name"] == ["waltz has a level called beginners already."]


class TestOneDance:
    def test_levels_from_the_lowest_up_with_their_figures_in_order(
        self, as_director, waltz, level, improvers
    ):
        FigureFactory(level=improvers, name="whisk", order=10)
        FigureFactory(level=level, name="natural turn", order=20)
        FigureFactory(level=level, name="box step", order=10)
        text = text_of(as_director, "dance", waltz.pk)
        assert in_order(text, ">Beginners</h2>", "box step", "natural turn", ">Improvers</h2>", "whisk")

    def test_beats_minutes_and_needs(self, as_director, waltz, level):
        box = FigureFactory(level=level, name="box step", ticks=72, minutes_to_introduce=12)
        FigureFactory(level=level, name="left box turn", ticks=54, minutes_to_introduce=14, needs=[box])
        FigureFactory(level=level, name="frame", ticks=None, kind="technique")
        text = text_of(as_director, "dance", waltz.pk)
        assert "12 min" in text
        assert ">4.5</td>" in text
        assert f'<a href="{reverse("curriculum:figure", args=[box.pk])}">box step</a></td>' in text
        assert '<span class="tag">technique</span>' in text

    def test_a_figure_is_found_by_any_of_its_names(self, as_director, waltz, level):
        figure = FigureFactory(level=level, name="natural turn")
        FigureName.objects.create(dance=waltz, figure=figure, name="Right Turn")
        FigureFactory(level=level, name="box step")
        text = text_of(as_director, "dance", waltz.pk, q="right  t")
        assert "natural turn" in text
        assert "box step" not in text

    def test_a_name_typed_wrong_is_guessed(self, as_director, waltz, level):
        FigureFactory(level=level, name="hesitation change")
        text = text_of(as_director, "dance", waltz.pk, q="hesitasion chage")
        assert "0 found" in text
        assert '<a href="?q=hesitation%20change">hesitation change</a>' in text

    def test_one_level_alone(self, as_director, waltz, level, improvers):
        FigureFactory(level=level, name="box step")
        FigureFactory(level=improvers, name="whisk")
        text = text_of(as_director, "dance", waltz.pk, level=str(improvers.pk))
        assert "whisk" in text
        assert "box step" not in text

    def test_a_level_s_routines_are_named(self, as_director, waltz, level):
        routine = RoutineFactory(level=level, name="once round")
        assert f'<a href="{reverse("curriculum:routine", args=[routine.pk])}">once round</a>' in text_of(
            as_director, "dance", waltz.pk
        )

    def test_an_empty_dance_says_what_to_do_first(self, as_director, waltz):
        assert "waltz has no level yet. Bring in a spreadsheet" in text_of(as_director, "dance", waltz.pk)

    def test_an_instructor_sees_no_buttons_to_change_it(self, client, instructor, waltz, level):
        client.force_login(instructor)
        text = text_of(client, "dance", waltz.pk)
        assert "New figure" not in text
        assert reverse("curriculum:spreadsheet-out", args=[waltz.pk, "csv"]) in text


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
