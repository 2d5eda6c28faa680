"""What was recorded, as the planner reads it: taught, owed, finished later, and what a draft is held to."""

import pytest

from curriculum.models import Prerequisite
from lessons.models import (
    PlanIntroduction,
)
from lessons.problems import course_problem, placements
from tests.factories import (
    FigureFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
)
from tests.lessons.problems.rows import begun, cancel, figure, findings_of, put, read

pytestmark = pytest.mark.django_db


class TestHistory:
    def test_a_recorded_lesson_settles_what_it_taught_and_danced_again(self, plan, lessons):
        fan, basic = put(plan, "fan"), put(plan, "basic")
        RecordFactory(lesson=lessons[0], taught={basic.figure: "introduced"})
        RecordFactory(lesson=lessons[1], taught={fan.figure: "introduced", basic.figure: "reviewed"})
        slots = read(plan, after=lessons[1]).problem.lessons
        assert [slot.taught for slot in slots[:3]] == [{"basic"}, {"fan"}, None]
        assert slots[1].reviewed == {"basic"}

    def test_a_figure_not_reached_is_still_to_come(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0])
        RecordFactory(lesson=lessons[0], taught={fan.figure: "not_reached"})
        problem = read(plan, after=lessons[0])
        assert problem.problem.lessons[0].taught == frozenset()
        assert placements(problem)[0] == {}
        assert problem.notes == ("fan was planned for Tuesday 6 January and was not taught: place it anew.",)

    def test_today_s_lesson_is_still_to_come_until_it_is_recorded(self, plan, lessons):
        assert course_problem(plan, today=lessons[0].date).first_to_come == 0
        RecordFactory(lesson=lessons[0])
        assert course_problem(plan, today=lessons[0].date).first_to_come == 1

    def test_a_past_lesson_without_record_counts_as_taught_as_published_and_is_named(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0])
        plan.status = "published"
        plan.save()
        draft = PlanFactory(course=plan.course)
        PlanFigureFactory(plan=draft, figure=fan.figure)
        problem = read(draft, after=lessons[0])
        assert problem.problem.lessons[0].taught == {"fan"}
        assert placements(problem)[0] == {"fan": 0}
        assert problem.notes == (
            "The lesson of Tuesday 6 January has no record: for planning it counts as taught as planned.",
        )

    def test_what_a_draft_planned_for_a_past_lesson_without_record_was_not_taught(self, plan, lessons):
        put(plan, "fan", new_in=lessons[0])
        assert read(plan, after=lessons[0]).problem.lessons[0].taught == frozenset()

    def test_a_lesson_without_record_between_recorded_ones_leaves_no_gap(self, plan, lessons):
        for lesson in (lessons[0], lessons[2]):
            RecordFactory(lesson=lesson)
        taught = [slot.taught for slot in read(plan, after=lessons[2]).problem.lessons]
        assert taught == [frozenset()] * 3 + [None] * 3

    def test_what_was_taught_beside_the_plan_is_known_from_then_on(self, plan, lessons, level):
        fan = put(plan, "fan")
        extra = FigureFactory(level=level, name="New York")
        Prerequisite.objects.create(figure=fan.figure, needs=extra)
        RecordFactory(lesson=lessons[0], taught={extra: "introduced"})
        problem = read(plan, after=lessons[0])
        assert "New York" in problem.problem.known
        assert problem.notes == ()

    def test_a_pin_that_was_overtaken_means_from_now_on(self, plan, lessons):
        put(plan, "fan", pinned=lessons[0], required=False)
        RecordFactory(lesson=lessons[0])
        problem = read(plan, after=lessons[0])
        assert figure(problem, "fan").pinned is None
        assert figure(problem, "fan").required
        assert problem.notes == (
            "fan was kept in the lesson of Tuesday 6 January and was not taught: it may come from now on.",
        )

    def test_a_latest_that_was_overtaken_means_from_now_on(self, plan, lessons):
        put(plan, "fan", latest=lessons[0])
        RecordFactory(lesson=lessons[0])
        problem = read(plan, after=lessons[0])
        assert figure(problem, "fan").latest is None
        assert problem.notes == (
            "fan was to come by Tuesday 6 January and has not been taught: it may come from now on.",
        )

    def test_a_pin_that_was_met_says_nothing(self, plan, lessons):
        fan = put(plan, "fan", pinned=lessons[0], new_in=lessons[0])
        RecordFactory(lesson=lessons[0], taught={fan.figure: "introduced"})
        problem = read(plan, after=lessons[0])
        assert problem.notes == ()
        assert findings_of(problem) == ()

    def test_a_pin_to_a_lesson_that_fell_out_is_let_go_and_named(self, plan, lessons):
        put(plan, "fan", pinned=lessons[2])
        cancel(lessons[2])
        problem = read(plan)
        assert figure(problem, "fan").pinned is None
        assert problem.notes == (
            "fan was kept in the lesson of Tuesday 20 January, which falls out: it may come elsewhere.",
        )


class TestFinishingLater:
    def test_the_record_says_how_many_minutes_are_owed(self, plan, lessons):
        fan = put(plan, "fan", minutes_to_introduce=20)
        begun(lessons[0], fan.figure, owed=7)
        problem = read(plan, after=lessons[0])
        assert problem.problem.unfinished == {"fan": 7}
        assert placements(problem)[0] == {"fan": 1}

    @pytest.mark.parametrize(
        ("parts", "evenings", "owed"), [(1, 1, 10), (2, 1, 10), (3, 1, 13), (3, 2, 6), (1, 2, 6)]
    )
    def test_otherwise_the_minutes_less_an_even_share_for_each_evening(
        self, plan, lessons, parts, evenings, owed
    ):
        """20 minutes in two parts are 10 + 10, in three 7 + 7 + 6."""
        fan = put(plan, "fan", minutes_to_introduce=20, parts=parts)
        for lesson in lessons[:evenings]:
            begun(lesson, fan.figure)
        assert read(plan, after=lessons[evenings - 1]).problem.unfinished == {"fan": owed}

    def test_the_lesson_that_finishes_a_figure_does_not_go_over_it_again_as_well(self, plan, lessons):
        fan = put(plan, "fan", new_in=lessons[0], again_in=[lessons[1], lessons[2]])
        begun(lessons[0], fan.figure, owed=7)
        reviews = placements(read(plan, after=lessons[0]))[1]
        assert [review.index for review in reviews] == [2]

    def test_what_was_finished_later_is_owed_no_more(self, plan, lessons):
        fan = put(plan, "fan")
        begun(lessons[0], fan.figure)
        RecordFactory(lesson=lessons[1], taught={fan.figure: "introduced"})
        problem = read(plan, after=lessons[1])
        assert problem.problem.unfinished == {}
        assert problem.problem.lessons[1].taught == {"fan"}

    def test_the_first_part_in_a_past_lesson_without_record_counts_as_given(self, plan, lessons):
        fan = put(plan, "fan", minutes_to_introduce=15, parts=2, new_in=lessons[0])
        PlanIntroduction.objects.create(plan_figure=fan, lesson=lessons[1], part=1)
        plan.status = "published"
        plan.save()
        assert read(plan, after=lessons[0]).problem.unfinished == {"fan": 7}


class TestPrevious:
    def test_a_draft_in_mid_term_is_to_move_little_of_the_published_plan(self, plan, lessons):
        fan, basic = put(plan, "fan", new_in=lessons[3]), put(plan, "basic", new_in=lessons[0])
        plan.status = "published"
        plan.save()
        draft = PlanFactory(course=plan.course)
        for row in (fan, basic):
            PlanFigureFactory(plan=draft, figure=row.figure)
        RecordFactory(lesson=lessons[0], taught={basic.figure: "introduced"})
        assert read(draft, after=lessons[0]).problem.previous == {"fan": 3}

    def test_before_the_term_nothing_is_held_to(self, plan, lessons):
        put(plan, "fan", new_in=lessons[3])
        plan.status = "published"
        plan.save()
        assert read(PlanFactory(course=plan.course)).problem.previous is None
