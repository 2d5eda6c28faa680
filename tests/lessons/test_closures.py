"""Laying out a term's lessons, and closing days: the director sees what follows before anything moves."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError

from lessons.actions.calendar import close_days, closure_consequences, lay_out_lessons
from lessons.actions.changes import cancel_lesson
from lessons.models import LessonSession
from school.models import Closure
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    FigureFactory,
    MeetingFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoomFactory,
)

pytestmark = pytest.mark.django_db

FIRST_TUESDAY = dt.date(2026, 1, 6)
WEEK = dt.timedelta(weeks=1)


@pytest.fixture
def meeting():
    """Tuesdays 19:30, twelve weeks."""
    return MeetingFactory()


@pytest.fixture
def course(meeting):
    return meeting.course


class TestLayingOut:
    def test_every_tuesday_of_the_term_has_a_lesson(self, course, meeting):
        lessons = lay_out_lessons(course=course)
        assert [lesson.date for lesson in lessons] == [FIRST_TUESDAY + n * WEEK for n in range(12)]
        assert {(lesson.start, lesson.minutes, lesson.room) for lesson in lessons} == {
            (meeting.start, 60, meeting.room)
        }

    def test_a_closure_leaves_its_day_out(self, course):
        ClosureFactory(first_day=FIRST_TUESDAY + 5 * WEEK)
        dates = [lesson.date for lesson in lay_out_lessons(course=course)]
        assert len(dates) == 11
        assert FIRST_TUESDAY + 5 * WEEK not in dates

    def test_a_closure_of_another_room_leaves_nothing_out(self, course):
        ClosureFactory(first_day=FIRST_TUESDAY, room=RoomFactory())
        assert len(lay_out_lessons(course=course)) == 12

    def test_every_second_week(self, course):
        course.interval_weeks = 2
        course.save()
        assert [lesson.date for lesson in lay_out_lessons(course=course)][:2] == [
            FIRST_TUESDAY,
            FIRST_TUESDAY + 2 * WEEK,
        ]

    def test_two_weekdays_and_two_lessons_on_one_day(self, course, meeting):
        MeetingFactory(course=course, weekday=3)
        MeetingFactory(course=course, weekday=1, start=dt.time(18))
        lessons = lay_out_lessons(course=course)
        assert len(lessons) == 36
        assert [(lesson.date, lesson.start.hour) for lesson in lessons[:3]] == [
            (FIRST_TUESDAY, 18),
            (FIRST_TUESDAY, 19),
            (FIRST_TUESDAY + dt.timedelta(days=2), 19),
        ]

    def test_laid_out_again_nothing_comes_twice(self, course):
        lay_out_lessons(course=course)
        assert lay_out_lessons(course=course) == []
        assert course.lessons.count() == 12

    def test_a_cancelled_lesson_is_not_made_again(self, course, director):
        lesson = lay_out_lessons(course=course)[0]
        cancel_lesson(lesson=lesson, because="snow", by=director)
        assert lay_out_lessons(course=course) == []

    def test_a_second_meeting_adds_only_its_own_lessons(self, course):
        lay_out_lessons(course=course)
        MeetingFactory(course=course, weekday=1, start=dt.time(18))
        made = lay_out_lessons(course=course)
        assert {lesson.start for lesson in made} == {dt.time(18)}
        assert len(made) == 12


class TestClosing:
    @pytest.fixture
    def lessons(self, course):
        return lay_out_lessons(course=course)

    def close(self, by, first, last=None, room=None, reason="hall hired out"):
        return close_days(first_day=first, last_day=last or first, reason=reason, room=room, by=by)

    def test_what_follows_is_told_with_what_is_planned_there(self, lessons, course):
        plan = PlanFactory(course=course, status="published")
        level = course.levels.get()
        fan, basic = FigureFactory(level=level, name="fan"), FigureFactory(level=level, name="basic")
        PlanFigureFactory(plan=plan, figure=fan, new_in=lessons[2])
        PlanFigureFactory(plan=plan, figure=basic, new_in=lessons[0], again_in=[lessons[2]])
        draft = PlanFactory(course=course)
        PlanFigureFactory(plan=draft, figure=basic, new_in=lessons[2])
        (falls_out,) = closure_consequences(lessons[2].date, lessons[2].date, None)
        assert (falls_out.lesson, falls_out.new, falls_out.again) == (lessons[2], ("fan",), ("basic",))

    def test_asking_changes_nothing(self, lessons):
        closure_consequences(lessons[0].date, lessons[11].date)
        assert LessonSession.objects.given().count() == 12
        assert not Closure.objects.exists()

    def test_confirmed_the_lessons_of_those_days_fall_out(self, lessons, director):
        closure, fallen = self.close(director, lessons[2].date, lessons[3].date)
        assert [lesson.date for lesson in fallen] == [lessons[2].date, lessons[3].date]
        assert closure.reason == "hall hired out"
        cancelled = LessonSession.objects.filter(cancelled_at__isnull=False)
        assert [lesson.cancelled_because for lesson in cancelled] == ["hall hired out"] * 2

    def test_lessons_before_and_after_keep_their_dates(self, lessons, director):
        self.close(director, lessons[2].date)
        kept = LessonSession.objects.given().values_list("date", flat=True)
        assert list(kept) == [lesson.date for lesson in lessons if lesson != lessons[2]]

    def test_a_closed_room_touches_only_its_own_lessons(self, lessons, director):
        elsewhere = MeetingFactory(course=CourseFactory(), weekday=1)
        other = lay_out_lessons(course=elsewhere.course)
        _, fallen = self.close(director, lessons[2].date, room=elsewhere.room)
        assert fallen == [other[2]]
        lessons[2].refresh_from_db()
        assert not lessons[2].is_cancelled

    def test_a_lesson_that_took_place_is_not_undone(self, lessons, director):
        RecordFactory(lesson=lessons[0])
        assert closure_consequences(lessons[0].date, lessons[0].date) == []
        _, fallen = self.close(director, lessons[0].date)
        assert fallen == []

    def test_days_in_the_wrong_order_and_no_reason_are_refused(self, lessons, director):
        with pytest.raises(ValidationError):
            self.close(director, lessons[3].date, lessons[2].date)
        with pytest.raises(ValidationError, match="reason"):
            self.close(director, lessons[3].date, reason="")
        assert LessonSession.objects.given().count() == 12

    def test_consequences_cost_three_queries_for_any_number_of_lessons(
        self, lessons, django_assert_num_queries
    ):
        for last in (lessons[0], lessons[11]):
            with django_assert_num_queries(3):
                closure_consequences(lessons[0].date, last.date)
