"""What a director does to a plan: drafts, moves, demands, publishing, and never over somebody else's work."""

import datetime as dt
from itertools import pairwise

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from curriculum.models import Prerequisite
from lessons.actions.errors import Overtaken, PlanHasBreaches
from lessons.actions.plans import (
    choose_figures,
    move_introduction,
    publish_plan,
    set_demands,
    start_draft,
)
from lessons.models import PlanBar, PlanIntroduction, PlanSet
from lessons.problems import findings
from lessons.rules.ticks import kept_ticks
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]


@pytest.fixture
def level():
    return LevelFactory(rank=2)


@pytest.fixture
def course(level):
    return CourseFactory(level=level)


@pytest.fixture
def lessons(course):
    return weekly_lessons(course, 6)


@pytest.fixture
def plan(course, lessons):
    return PlanFactory(course=course)


def put(plan, name, **demands):
    figure = FigureFactory(level=plan.course.levels.get(), name=name)
    return PlanFigureFactory(plan=plan, figure=figure, **demands)


def new_in(row):
    return [part.lesson for part in row.introductions.order_by("part")]


def again_in(row):
    return [review.lesson for review in row.reviews.order_by("lesson__date")]


class TestStartingADraft:
    def test_the_first_draft_takes_the_level_s_figures_that_are_not_known(
        self, course, lessons, level, director
    ):
        FigureFactory(level=level, name="second", order=20)
        FigureFactory(level=level, name="first", order=10)
        FigureFactory(level=LevelFactory(dance=level.dance, rank=1), name="from below")
        draft = start_draft(course=course, by=director)
        assert [row.figure.name for row in draft.figures.all()] == ["first", "second"]
        assert (draft.status, draft.created_by) == ("draft", director)

    def test_a_draft_in_mid_term_is_a_copy_of_the_published_plan(self, plan, lessons, director):
        fan = put(plan, "fan", new_in=lessons[1], again_in=[lessons[2]], pinned=lessons[1], importance=3)
        basic = put(plan, "basic", required=False)
        PlanBar.objects.create(plan_figure=fan, lesson=lessons[0])
        PlanSet.objects.create(plan=plan, kind="apart").figures.set([fan, basic])
        plan.status = "published"
        plan.save()
        draft = start_draft(course=plan.course, by=director)
        copy = draft.figures.get(figure=fan.figure)
        assert (copy.pinned, copy.importance, copy.required) == (lessons[1], 3, True)
        assert (new_in(copy), again_in(copy)) == ([lessons[1]], [lessons[2]])
        assert [bar.lesson for bar in copy.bars.all()] == [lessons[0]]
        (group,) = draft.sets.all()
        assert group.kind == "apart"
        assert {row.figure.name for row in group.figures.all()} == {"fan", "basic"}

    @pytest.mark.parametrize("figures", [2, 12])
    def test_copying_costs_the_same_for_any_number_of_figures(
        self, plan, lessons, director, figures, django_assert_num_queries
    ):
        for number in range(figures):
            put(plan, f"figure number {number}", new_in=lessons[number % 6], again_in=[lessons[5]])
        plan.status = "published"
        plan.save()
        with django_assert_num_queries(12):
            start_draft(course=plan.course, by=director)


class TestMoving:
    def test_a_figure_moves_and_its_reviews_move_along(self, plan, lessons, director):
        """Reviews are due one, two and four lessons after."""
        fan = put(plan, "fan", new_in=lessons[3], again_in=[lessons[4], lessons[5]])
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[1], by=director)
        assert new_in(fan) == [lessons[1]]
        assert again_in(fan) == [lessons[2], lessons[4], lessons[5]]
        assert findings(plan) == ()

    def test_a_review_that_may_stay_stays(self, plan, lessons, director):
        """New in 1 of 6 reviews are due in 2, 3 and 5; a lesson off is allowed."""
        fan = put(plan, "fan", new_in=lessons[2], again_in=[lessons[3], lessons[5]])
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[1], by=director)
        assert again_in(fan) == [lessons[2], lessons[3], lessons[5]]

    def test_a_review_the_director_did_without_is_not_added_by_a_move(self, plan, lessons, director):
        fan = put(plan, "fan", new_in=lessons[0], again_in=[lessons[2]])
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[1], by=director)
        assert again_in(fan) == [lessons[2]]

    def test_every_part_moves(self, plan, lessons, director):
        fan = put(plan, "fan", parts=2)
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[2], by=director)
        assert new_in(fan) == lessons[2:4]
        assert again_in(fan) == lessons[4:6]

    def test_a_figure_taken_out_stands_nowhere_and_keeps_its_demands(self, plan, lessons, director):
        fan = put(plan, "fan", new_in=lessons[3], again_in=[lessons[4]], pinned=lessons[3])
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=None, by=director)
        fan.refresh_from_db()
        assert (new_in(fan), again_in(fan), fan.pinned) == ([], [], lessons[3])

    def test_what_a_move_breaks_is_shown_and_not_refused(self, plan, lessons, director):
        basic, fan = put(plan, "basic", new_in=lessons[0]), put(plan, "fan", new_in=lessons[1])
        Prerequisite.objects.create(figure=fan.figure, needs=basic.figure)
        move_introduction(plan=plan, version=1, plan_figure=basic, lesson=lessons[2], by=director)
        assert "need" in {finding.kind for finding in findings(plan)}

    def test_parts_that_run_out_of_the_term_are_shown_and_not_refused(self, plan, lessons, director):
        fan = put(plan, "fan", parts=3)
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[4], by=director)
        assert new_in(fan) == lessons[4:]
        assert "term" in {finding.kind for finding in findings(plan)}

    def test_a_lesson_that_has_been_takes_nothing_new(self, plan, lessons, director):
        fan = put(plan, "fan")
        RecordFactory(lesson=lessons[0])
        with pytest.raises(ValidationError, match="Tuesday 6 January has been"):
            move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[0], by=director)

    def test_what_has_been_taught_is_not_moved(self, plan, lessons, director):
        fan = put(plan, "fan")
        RecordFactory(lesson=lessons[0], taught={fan.figure: "introduced"})
        with pytest.raises(ValidationError, match="fan has been taught on Tuesday 6 January"):
            move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[3], by=director)

    def test_a_lesson_that_does_not_take_place_takes_nothing(self, plan, lessons, director):
        fan = put(plan, "fan")
        lessons[2].cancelled_at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
        lessons[2].save()
        for lesson in (lessons[2], weekly_lessons(CourseFactory(), 1)[0]):
            with pytest.raises(ValidationError, match="does not take place in this course"):
                move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lesson, by=director)

    def test_a_figure_of_another_plan_is_refused(self, plan, lessons, director):
        with pytest.raises(ValidationError):
            move_introduction(
                plan=plan, version=1, plan_figure=PlanFigureFactory(), lesson=lessons[0], by=director
            )


class TestTurns:
    def test_the_version_rises_with_every_change(self, plan, lessons, director):
        fan = put(plan, "fan")
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[0], by=director)
        move_introduction(plan=plan, version=2, plan_figure=fan, lesson=lessons[1], by=director)
        assert plan.version == 3
        plan.refresh_from_db()
        assert plan.version == 3

    def test_whoever_comes_second_is_told_and_changes_nothing(self, plan, lessons, director):
        fan = put(plan, "fan")
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[0], by=director)
        with pytest.raises(Overtaken, match="was version 1 and is now version 2"):
            move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[4], by=director)
        assert new_in(fan) == [lessons[0]]

    def test_a_refused_change_takes_no_turn(self, plan, lessons, director):
        fan = put(plan, "fan")
        with pytest.raises(ValidationError):
            set_demands(plan=plan, version=1, plan_figure=fan, by=director, parts=0)
        assert plan.version == 1
        plan.refresh_from_db()
        assert plan.version == 1

    def test_a_published_plan_is_not_changed_any_more(self, plan, lessons, director):
        fan = put(plan, "fan")
        publish_plan(plan=plan, version=1, by=director, even_so=True)
        with pytest.raises(ValidationError, match="Start a draft from it"):
            move_introduction(plan=plan, version=2, plan_figure=fan, lesson=lessons[0], by=director)
        with pytest.raises(Overtaken, match="has been published while you had it open"):
            move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[0], by=director)


class TestDemands:
    def test_only_what_is_given_changes(self, plan, lessons, director):
        fan = put(plan, "fan", earliest=lessons[1], importance=4)
        set_demands(plan=plan, version=1, plan_figure=fan, by=director, pinned=lessons[2], required=False)
        fan.refresh_from_db()
        assert (fan.pinned, fan.earliest, fan.required, fan.importance) == (lessons[2], lessons[1], False, 4)

    def test_none_takes_a_demand_away(self, plan, lessons, director):
        fan = put(plan, "fan", pinned=lessons[1])
        set_demands(plan=plan, version=1, plan_figure=fan, by=director, pinned=None)
        fan.refresh_from_db()
        assert fan.pinned is None

    def test_bars_are_replaced(self, plan, lessons, director):
        fan = put(plan, "fan")
        PlanBar.objects.create(plan_figure=fan, lesson=lessons[0])
        set_demands(plan=plan, version=1, plan_figure=fan, by=director, barred=[lessons[2], lessons[3]])
        assert [bar.lesson for bar in fan.bars.all()] == lessons[2:4]

    def test_more_parts_take_more_lessons_at_once(self, plan, lessons, director):
        fan = put(plan, "fan", new_in=lessons[1], again_in=[lessons[2], lessons[3], lessons[5]])
        set_demands(plan=plan, version=1, plan_figure=fan, by=director, parts=2)
        assert new_in(fan) == lessons[1:3]
        assert again_in(fan) == [lessons[3], lessons[5]]

    @pytest.mark.parametrize(
        ("demand", "field"),
        [({"parts": 0}, "parts"), ({"parts": 13}, "parts"), ({"importance": 0}, "importance")],
    )
    def test_a_demand_that_means_nothing_is_refused_at_its_field(
        self, plan, lessons, director, demand, field
    ):
        """The figure takes 12 minutes."""
        fan = put(plan, "fan")
        with pytest.raises(ValidationError) as refused:
            set_demands(plan=plan, version=1, plan_figure=fan, by=director, **demand)
        assert field in refused.value.message_dict

    def test_a_latest_before_the_earliest_is_refused(self, plan, lessons, director):
        fan = put(plan, "fan", earliest=lessons[3])
        with pytest.raises(ValidationError, match="lies before the earliest"):
            set_demands(plan=plan, version=1, plan_figure=fan, by=director, latest=lessons[2])

    @pytest.mark.parametrize("field", ["pinned", "earliest", "latest"])
    def test_a_lesson_of_another_course_is_refused(self, plan, lessons, director, field):
        fan = put(plan, "fan")
        strange = weekly_lessons(CourseFactory(), 1)[0]
        with pytest.raises(ValidationError, match="another course"):
            set_demands(plan=plan, version=1, plan_figure=fan, by=director, **{field: strange})


class TestChoosingFigures:
    def test_figures_come_and_go_and_the_others_keep_their_place(self, plan, lessons, level, director):
        fan, basic = put(plan, "fan", new_in=lessons[2]), put(plan, "basic", new_in=lessons[0])
        chase = FigureFactory(level=level, name="chase")
        choose_figures(plan=plan, version=1, figures=[fan.figure, chase], by=director)
        assert {row.figure.name for row in plan.figures.all()} == {"fan", "chase"}
        assert new_in(fan) == [lessons[2]]
        assert not PlanIntroduction.objects.filter(plan_figure=basic.pk).exists()

    def test_a_figure_of_another_dance_is_refused(self, plan, director):
        with pytest.raises(ValidationError, match="belongs to another dance"):
            choose_figures(plan=plan, version=1, figures=[FigureFactory()], by=director)


class TestPublishing:
    def test_a_sound_draft_is_published_and_the_former_plan_is_kept_as_retired(self, plan, lessons, director):
        put(plan, "fan", new_in=lessons[0])
        publish_plan(plan=plan, version=1, by=director)
        draft = start_draft(course=plan.course, by=director)
        publish_plan(plan=draft, version=1, by=director)
        plan.refresh_from_db()
        draft.refresh_from_db()
        assert (plan.status, draft.status, draft.published_by) == ("retired", "published", director)
        assert draft.published_at is not None

    def test_a_draft_with_breaches_is_not_published_unknowingly(self, plan, lessons, director):
        put(plan, "fan")
        with pytest.raises(PlanHasBreaches) as breaches:
            publish_plan(plan=plan, version=1, by=director)
        assert [finding.kind for finding in breaches.value.findings] == ["required"]
        plan.refresh_from_db()
        assert (plan.status, plan.version) == ("draft", 1)

    def test_the_director_may_publish_it_even_so(self, plan, lessons, director):
        put(plan, "fan")
        publish_plan(plan=plan, version=1, by=director, even_so=True)
        plan.refresh_from_db()
        assert plan.status == "published"

    def test_a_draft_changed_meanwhile_is_not_published(self, plan, lessons, director):
        fan = put(plan, "fan")
        move_introduction(plan=plan, version=1, plan_figure=fan, lesson=lessons[0], by=director)
        with pytest.raises(Overtaken):
            publish_plan(plan=plan, version=1, by=director)


class TestTicks:
    """Due are lessons 3, 4 and 6; a review may lie one lesson off."""

    def kept(self, *ticked, **more):
        return [at for at, _ in kept_ticks(ticked, (3, 4, 6), slack=1, after=2, **more)]

    def test_what_is_still_allowed_stays_and_the_rest_comes_when_it_is_due(self):
        assert self.kept(5, 6) == [3, 5, 6]

    def test_a_tick_too_far_off_moves_to_an_open_due_lesson(self):
        assert self.kept(9) == [3, 4, 6]

    def test_a_tick_in_the_lesson_that_is_new_now_does_not_stay(self):
        assert self.kept(2) == [3, 4, 6]

    def test_what_was_spared_is_not_added(self):
        assert self.kept(5, spared=2) == [5]

    @given(
        ticked=st.sets(st.integers(0, 12), max_size=5),
        dues=st.lists(st.integers(4, 12), max_size=4, unique=True).map(sorted),
        slack=st.integers(0, 2),
    )
    def test_reviews_always_lie_in_order_apart_and_near_their_due_lesson(self, ticked, dues, slack):
        pairs = kept_ticks(sorted(ticked), dues, slack=slack, after=3)
        assert all(at > 3 and abs(at - due) <= slack for at, due in pairs)
        assert all(one < two for one, two in pairwise([at for at, _ in pairs]))
        assert all(one < two for one, two in pairwise([due for _, due in pairs]))
