"""What must never be wrong about courses, lessons and plans is kept by the database itself."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from lessons.models import (
    Attendance,
    Course,
    Enrolment,
    LessonRecord,
    LessonSession,
    Meeting,
    PlanFigure,
    PlanIntroduction,
    PlanRun,
    RecordedFigure,
    TermPlan,
)
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LessonFactory,
    MeetingFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoomFactory,
)

pytestmark = pytest.mark.django_db


def refused(name):
    """The database refuses, by the constraint of this name (PostgreSQL) or its columns (SQLite)."""
    return pytest.raises(IntegrityError, match=name)


def test_two_published_plans_of_a_course():
    course = CourseFactory()
    TermPlan.objects.create(course=course, status="published")
    with refused("course_has_one_published_plan|termplan.course_id"):
        TermPlan.objects.create(course=course, status="published")


def test_many_drafts_and_retired_plans_of_a_course_are_fine():
    course = CourseFactory()
    for status in ("draft", "draft", "retired", "retired", "published"):
        TermPlan.objects.create(course=course, status=status)
    assert course.plans.count() == 5


def test_a_figure_twice_in_a_plan():
    row = PlanFigureFactory()
    with refused("figure_once_in_a_plan|planfigure"):
        PlanFigure.objects.create(plan=row.plan, figure=row.figure)


@pytest.mark.parametrize(
    ("field", "name"), [("parts", "plan_figure_has_a_part"), ("importance", "plan_figure_matters")]
)
def test_a_figure_in_no_part_or_of_no_importance(field, name):
    with refused(name):
        PlanFigure.objects.create(plan=PlanFactory(), figure=FigureFactory(), **{field: 0})


def test_two_parts_of_a_figure_in_one_lesson():
    lesson = LessonFactory()
    row = PlanFigureFactory(new_in=lesson)
    with refused("plan_lesson_takes_one_part|planintroduction"):
        PlanIntroduction.objects.create(plan_figure=row, lesson=lesson, part=1)


def test_a_lesson_of_no_minutes():
    with refused("lesson_takes_a_minute"):
        LessonSession.objects.create(
            course=CourseFactory(),
            date=dt.date(2026, 1, 6),
            first_date=dt.date(2026, 1, 6),
            start=dt.time(19),
            minutes=0,
            room=RoomFactory(),
        )


def test_two_lessons_of_a_course_at_one_time():
    lesson = LessonFactory()
    with refused("course_meets_once_at_a_time|lessonsession"):
        LessonFactory(course=lesson.course, date=lesson.date, start=lesson.start)


def test_a_cancelled_lesson_leaves_its_time_free():
    lesson = LessonFactory(cancelled_at=dt.datetime(2026, 1, 5, tzinfo=dt.UTC))
    assert LessonFactory(course=lesson.course, date=lesson.date, start=lesson.start).pk


def test_a_meeting_of_no_minutes_or_on_an_eighth_day():
    meeting = MeetingFactory()
    for wrong, name in (({"minutes": 0}, "meeting_takes_a_minute"), ({"weekday": 7}, "meeting_on_a_weekday")):
        with refused(name), transaction.atomic():
            Meeting.objects.filter(pk=meeting.pk).update(**wrong)


def test_a_course_that_continues_itself():
    course = CourseFactory()
    with refused("course_not_after_itself"):
        Course.objects.filter(pk=course.pk).update(continues=course)


def test_somebody_twice_in_a_course_at_a_time():
    enrolment = EnrolmentFactory()
    with refused("enrolled_once_at_a_time|enrolment"):
        Enrolment.objects.create(
            course=enrolment.course, person=enrolment.person, role="F", joined=enrolment.joined
        )


def test_an_enrolment_that_ends_before_it_begins():
    enrolment = EnrolmentFactory()
    with refused("enrolment_ends_after_it_begins"):
        Enrolment.objects.filter(pk=enrolment.pk).update(left=enrolment.joined - dt.timedelta(days=1))


def test_two_records_of_a_lesson():
    record = RecordFactory()
    with refused("lessonrecord"):
        LessonRecord.objects.create(lesson=record.lesson)


def test_a_figure_recorded_twice_in_a_lesson():
    fan = FigureFactory()
    record = RecordFactory(taught={fan: "introduced"})
    with refused("figure_recorded_once_a_lesson|recordedfigure"):
        RecordedFigure.objects.create(record=record, figure=fan, outcome="reviewed")


def test_an_outcome_nobody_knows_and_minutes_below_one():
    record = RecordFactory()
    for wrong, name in (
        ({"outcome": "perhaps"}, "record_outcome_known"),
        ({"outcome": "finish_later", "minutes_owed": 0}, "record_owes_a_minute"),
    ):
        with refused(name), transaction.atomic():
            RecordedFigure.objects.create(record=record, figure=FigureFactory(), **wrong)


def test_somebody_there_twice():
    record, person = RecordFactory(), EnrolmentFactory().person
    Attendance.objects.create(record=record, person=person)
    with refused("attendance"):
        Attendance.objects.create(record=record, person=person)


def test_two_runs_of_a_plan_at_a_time():
    plan = PlanFactory()
    PlanRun.objects.create(plan=plan, plan_version=1, status="running")
    with refused("one_run_of_a_plan_at_a_time|planrun.plan_id"):
        PlanRun.objects.create(plan=plan, plan_version=1)
