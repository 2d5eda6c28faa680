"""A missed lesson: where it can be caught up."""

import datetime as dt

import pytest

from lessons.models import Attendance, Enrolment
from tests.factories import (
    CatchUpFactory,
    EnrolmentFactory,
    FigureFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
)
from tests.lessons.catch_ups.pages import offers, page, read


class TestWhereToCatchUp:
    def test_the_other_evening_offers_what_teaches_or_reviews_it_within_two_weeks(
        self, as_student, course, missed, plan
    ):
        assert offers(as_student, course) == [
            (dt.date(2026, 1, 15), ["new"], 2),
            (dt.date(2026, 1, 22), ["again"], 2),
        ]

    def test_places_are_counted_in_ones_own_role_with_those_who_catch_up_already(
        self, as_student, course, other, thursdays, missed, plan
    ):
        EnrolmentFactory(course=other, role="F")
        EnrolmentFactory(course=other, role="L")
        EnrolmentFactory(course=other, role="F", waiting=True)
        EnrolmentFactory(course=other, role="F", left=dt.date(2026, 1, 10))
        CatchUpFactory(lesson=thursdays[1], role="F")
        CatchUpFactory(lesson=thursdays[1], role="L")
        CatchUpFactory(lesson=thursdays[2], role="F", state="declined")
        assert [places for _, _, places in offers(as_student, course)] == [0, 1]
        assert "No place for one more follower" in page(as_student, course)

    @pytest.mark.parametrize(("state", "stands"), [("asked", True), ("confirmed", True), ("declined", False)])
    def test_a_place_that_is_held_stands_there_also_when_nothing_is_open_any_more(
        self, as_student, student, course, thursdays, missed, plan, whisk, state, stands
    ):
        CatchUpFactory(lesson=thursdays[1], missed=missed, person=student, state=state)
        plan.figures.all().delete()
        assert offers(as_student, course) == []
        shown = page(as_student, course)
        assert ("Where you come to catch up" in shown) == stands
        assert ("I can’t come" in shown) == stands

    def test_a_cancelled_lesson_offers_nothing(self, as_student, course, thursdays, missed, plan):
        thursdays[1].cancelled_at = dt.datetime(2026, 1, 13, 12, tzinfo=dt.UTC)
        thursdays[1].save()
        assert [day for day, _, _ in offers(as_student, course)] == [dt.date(2026, 1, 22)]

    def test_a_draft_and_a_course_that_is_not_in_step_offer_nothing(
        self, as_student, course, other, missed, plan
    ):
        plan.status = "draft"
        plan.save()
        assert offers(as_student, course) == []
        assert "in the next two weeks" in page(as_student, course)
        other.group = None
        other.save()
        assert "No other evening is kept in step" in page(as_student, course)

    def test_what_was_taught_again_while_one_was_there_needs_no_catching_up(
        self, as_student, student, course, lessons, missed, plan, whisk
    ):
        there = RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
        Attendance.objects.create(record=there, person=student, role="F")
        (line,) = read(as_student, course).lessons
        assert (line.open_figures, line.offers) == ((), ())
        assert "caught up" in page(as_student, course)

    def test_where_nothing_was_new_nothing_is_caught_up(self, as_student, course, lessons, whisk):
        RecordFactory(lesson=lessons[0], taught={whisk: "reviewed"})
        text = page(as_student, course)
        assert "Nothing was new." in text
        assert "caught up" not in text

    def test_a_lesson_of_before_one_joined_says_so(self, as_student, student, course, missed):
        assert [line.why for line in read(as_student, course).lessons] == ["you weren’t there"]
        Enrolment.objects.filter(course=course, person=student).update(joined=dt.date(2026, 1, 12))
        assert [line.why for line in read(as_student, course).lessons] == ["before you joined"]
        assert "before you joined" in page(as_student, course)

    def test_what_was_danced_again_while_one_was_there_is_said_and_made_good_for(
        self, as_student, student, course, lessons, missed, plan, whisk
    ):
        there = RecordFactory(lesson=lessons[1], taught={whisk: "reviewed"})
        assert "you danced it again" not in page(as_student, course)
        Attendance.objects.create(record=there, person=student, role="F")
        assert "whisk</a> (you danced it again on 13 January)" in page(as_student, course)
        (line,) = read(as_student, course).lessons
        assert (line.open_figures, line.offers) == ((), ())

    def test_the_end_of_what_one_saw_begun_is_to_be_caught_up(
        self, as_student, student, course, lessons, plan, whisk
    ):
        begun = RecordFactory(lesson=lessons[0], taught={whisk: "finish_later"})
        Attendance.objects.create(record=begun, person=student, role="F")
        RecordFactory(lesson=lessons[1], taught={whisk: "introduced"})
        (line,) = read(as_student, course).lessons
        assert line.open_figures == (whisk,)

    def test_what_was_learnt_in_a_private_lesson_needs_no_catching_up(
        self, as_student, student, course, missed, plan, whisk
    ):
        PrivateLessonFactory(person=student).worked_on.create(figure=whisk, outcome="introduced")
        (line,) = read(as_student, course).lessons
        assert line.open_figures == ()

    def test_what_was_danced_in_the_other_course_is_made_good_for(
        self, as_student, student, course, thursdays, missed, plan, whisk
    ):
        there = RecordFactory(lesson=thursdays[0], taught={whisk: "reviewed"})
        Attendance.objects.create(record=there, person=student, role="F")
        (line,) = read(as_student, course).lessons
        assert line.open_figures == ()

    def test_who_was_always_there_reads_so(self, as_student, course):
        assert "You were in every lesson" in page(as_student, course)

    @pytest.mark.parametrize("size", [1, 4])
    def test_it_costs_the_same_however_much_was_missed(
        self, as_student, course, other, lessons, thursdays, size, django_assert_num_queries
    ):
        plan = PlanFactory(course=other, status="published")
        for place in range(size):
            figure = FigureFactory(level=course.levels.get())
            RecordFactory(lesson=lessons[place], taught={figure: "introduced"})
            PlanFigureFactory(plan=plan, figure=figure, new_in=thursdays[1], again_in=[thursdays[2]])
            EnrolmentFactory(course=other)
            CatchUpFactory(lesson=thursdays[1])
        with django_assert_num_queries(19):
            page(as_student, course)
