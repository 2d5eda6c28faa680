"""Too much for one evening: what to leave out, most harmless first, by what the plan can take up later."""

import datetime as dt
from dataclasses import replace

import pytest

from lessons.models import LessonSession
from lessons.planners.term_values import FigureToTeach, LessonSlot, Review, TermProblem
from lessons.rules.leave_out import PlannedTerm, next_time, stands
from lessons.rules.segments import Evening, Item, segments_of
from lessons.run_sheet.fitted import run_sheet
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)


def term(introductions, reviews=(), *, lessons=6, minutes=30, history=0, most=1, **problem):
    """Figures of 12 minutes, reviews of 4; `history` lessons have been, as planned."""
    wanted = problem.pop("figures", {})
    figures = tuple(FigureToTeach(key, 12, 4, required=False, **wanted.get(key, {})) for key in introductions)
    slots = tuple(
        LessonSlot(
            index,
            minutes,
            max_new=most,
            taught=frozenset(key for key in introductions if introductions[key] == index)
            if index < history
            else None,
        )
        for index in range(lessons)
    )
    return PlannedTerm(
        TermProblem(figures, slots, review_after=(1, 2), **problem), dict(introductions), tuple(reviews)
    )


class TestWhatIsNew:
    def test_it_goes_into_the_next_lesson_with_room(self):
        plan = term({"box": 0, "turn": 1, "whisk": 2}, history=1)
        assert next_time(plan, "new", "turn", 1) == 3

    def test_a_lesson_too_short_for_it_is_passed_over(self):
        plan = term({"box": 1, "whisk": 4}, history=1)
        slots = [
            LessonSlot(slot.index, 8 if slot.index == 2 else 30, max_new=1, taught=slot.taught)
            for slot in plan.problem.lessons
        ]
        plan = PlannedTerm(TermProblem(plan.problem.figures, tuple(slots)), plan.introductions, ())
        assert next_time(plan, "new", "box", 1) == 3

    def test_not_behind_what_needs_it(self):
        needs = {"turn": {"needs": frozenset({"box"})}}
        plan = term({"box": 1, "turn": 2}, history=1, figures=needs)
        assert next_time(plan, "new", "box", 1) is None

    def test_not_away_from_where_it_is_kept(self):
        plan = term({"box": 1}, history=1, figures={"box": {"pinned": 1}})
        assert next_time(plan, "new", "box", 1) is None

    def test_its_reviews_move_along(self):
        plan = term({"box": 1}, [Review("box", 2, 2)], history=1)
        assert next_time(plan, "new", "box", 1) == 2

    def test_not_beyond_the_term(self):
        assert next_time(term({"box": 5}, history=1), "new", "box", 5) is None

    def test_what_was_wrong_before_does_not_count(self):
        plan = term({"box": 1, "fan": 1}, history=1)
        assert next_time(plan, "new", "box", 1) == 2

    def test_not_into_a_lesson_that_holds_too_much_already(self):
        plan = term({"box": 1, "fan": 2, "turn": 2, "whisk": 2}, history=1, most=3)
        assert next_time(plan, "new", "box", 1) == 3


class TestWhatComesAgain:
    def test_it_comes_again_anyhow(self):
        plan = term({"box": 0}, [Review("box", 1, 1), Review("box", 3, 2)], history=1)
        assert next_time(plan, "review", "box", 1) == 3

    def test_else_it_moves_as_far_as_its_due_lesson_allows(self):
        near = term({"box": 0}, [Review("box", 1, 1)], history=1)
        assert next_time(near, "review", "box", 1) == 2
        late = term({"box": 0}, [Review("box", 2, 1)], history=1)
        assert next_time(late, "review", "box", 2) is None


class TestWhatIsToBeFinished:
    def test_the_next_lesson_takes_it_beside_what_is_new_there(self):
        plan = term({"box": 1, "turn": 2}, history=1, unfinished={"box": 6})
        assert next_time(plan, "carry", "box", 1) == 2

    def test_not_if_there_is_no_room_for_its_minutes(self):
        plan = term({"box": 1, "turn": 2}, history=1, minutes=16, unfinished={"box": 6})
        assert next_time(plan, "carry", "box", 1) is None

    def test_not_if_something_waits_for_it(self):
        needs = {"turn": {"needs": frozenset({"box"})}}
        plan = term({"box": 1, "turn": 2}, history=1, figures=needs, unfinished={"box": 6})
        assert next_time(plan, "carry", "box", 1) is None


def test_only_what_the_plan_has_in_the_lesson_is_asked_about():
    plan = term({"box": 1, "turn": 2}, [Review("box", 2, 2)], history=1)
    assert stands(plan, "new", "turn", 2)
    assert stands(plan, "review", "box", 2)
    assert not stands(plan, "new", "box", 2)
    assert not stands(plan, "carry", "box", 1)


def test_what_can_wait_goes_before_every_figure_that_cannot():
    carried = Item("turn", 6)
    evening = Evening(14, again=(Item("box", 4),), carry=(carried,), new=(Item("whisk", 15),))
    assert first_figure_out(evening) == "box"
    assert first_figure_out(replace(evening, carry=(replace(carried, can_wait=True),))) == "turn"


def first_figure_out(evening):
    return max((one for one in segments_of(evening) if one.figure), key=lambda one: one.give_way).figure


@pytest.fixture
def evening(settings, school):
    """Lesson 3 of 6 is much too short. Box and fan were taught; box comes again tonight and next week, fan
    tonight only and long overdue; the whisk is new and nothing waits for it."""
    settings.TODAY = "2026-01-20"
    course = CourseFactory(level=LevelFactory(most_new=1))
    lessons = weekly_lessons(course, 6)
    plan = PlanFactory(course=course, status="published")
    level = course.levels.get()
    box, fan, whisk = (FigureFactory(level=level, name=name) for name in ("box", "fan", "whisk"))
    PlanFigureFactory(plan=plan, figure=box, new_in=lessons[1], again_in=[lessons[2], lessons[3]])
    PlanFigureFactory(plan=plan, figure=fan, new_in=lessons[0], again_in=[lessons[2]])
    PlanFigureFactory(plan=plan, figure=whisk, new_in=lessons[2])
    for lesson, figure in zip(lessons, (fan, box), strict=False):
        RecordFactory(lesson=lesson, taught={figure: "introduced"})
    LessonSession.objects.filter(pk=lessons[2].pk).update(minutes=18)
    return LessonSession.objects.get(pk=lessons[2].pk)


class TestTheSentence:
    def test_it_says_when_each_comes_instead(self, evening):
        sheet = run_sheet(evening)
        assert "Again: box (it comes again on Tuesday 27 January)" in sheet.too_short
        assert sum(row.minutes for row in sheet.rows) == 18

    def test_without_a_plan_for_later_lessons_it_says_there_is_no_room(self, evening):
        course = evening.course
        course.lessons.filter(date__gt=evening.date).update(
            cancelled_at=dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC), cancelled_because="closed"
        )
        assert "(no later lesson has room for it)" in run_sheet(evening).too_short

    def test_an_evening_that_is_over_is_not_planned_any_more(self, evening, settings):
        settings.TODAY = "2026-02-20"
        said = run_sheet(evening).too_short
        assert "Leave out" in said
        assert "(" not in said

    @pytest.mark.parametrize("size", [1, 5])
    def test_it_costs_the_same_whatever_the_size(self, evening, size, django_assert_num_queries):
        course = evening.course
        plan = course.plans.get()
        later = course.lessons.filter(date__gt=evening.date).first()
        for _ in range(size):
            figure = FigureFactory(level=course.levels.get())
            PlanFigureFactory(plan=plan, figure=figure, new_in=later, again_in=[evening])
        with django_assert_num_queries(32):
            assert run_sheet(LessonSession.objects.get(pk=evening.pk)).left_out
