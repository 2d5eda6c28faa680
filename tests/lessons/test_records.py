"""What a lesson really did. Taught means recorded."""

import pytest
from django.core.exceptions import ValidationError

from lessons.actions.changes import cancel_lesson
from lessons.actions.errors import Overtaken
from lessons.actions.records import write_record
from lessons.courses.knowledge import danceable, known_figures, taught_in
from lessons.models import LessonRecord, PlannedSheet, TaughtBefore
from tests.factories import (
    CourseFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def level():
    return LevelFactory(rank=2)


@pytest.fixture
def course(level):
    return CourseFactory(level=level)


@pytest.fixture
def lesson(course, settings, wall_clock):
    """It began at 19:30."""
    lesson = weekly_lessons(course, 3)[0]
    settings.TODAY = lesson.date.isoformat()
    wall_clock("20:30")
    return lesson


@pytest.fixture
def fan(level):
    return FigureFactory(level=level, name="fan")


def write(lesson, by, *, version=None, outcomes=None, present=None, **fields):
    return write_record(
        lesson=lesson, version=version, outcomes=outcomes or {}, present=present or {}, by=by, **fields
    )


class TestWriting:
    def test_a_record_says_what_was_taught_how_it_went_and_who_was_there(
        self, lesson, fan, instructor, student
    ):
        record = write(
            lesson,
            instructor,
            outcomes={fan: ("introduced", "shaky", None)},
            present={student: "F"},
            unnamed_guests=2,
            note="hands too high",
        )
        (row,) = record.figures.all()
        assert (row.figure, row.outcome, row.went) == (fan, "introduced", "shaky")
        assert [(there.person, there.role) for there in record.attendance.all()] == [(student, "F")]
        assert (record.unnamed_guests, record.note, record.recorded_by) == (2, "hands too high", instructor)
        assert record.version == 1

    def test_a_correction_replaces_all_the_record_said(self, lesson, fan, instructor, student, director):
        write(lesson, instructor, outcomes={fan: ("introduced", "", None)}, present={student: "F"})
        record = write(lesson, director, version=1, outcomes={fan: ("finish_later", "", 5)})
        (row,) = record.figures.all()
        assert (row.outcome, row.minutes_owed) == ("finish_later", 5)
        assert not record.attendance.exists()
        assert (record.version, record.recorded_by) == (2, director)

    def test_two_who_record_the_same_lesson_do_not_overwrite_each_other(
        self, lesson, fan, instructor, director
    ):
        write(lesson, instructor, outcomes={fan: ("introduced", "", None)})
        with pytest.raises(Overtaken, match="Somebody recorded this lesson"):
            write(lesson, director, outcomes={fan: ("not_reached", "", None)})
        with pytest.raises(Overtaken):
            write(lesson, director, version=7)
        assert LessonRecord.objects.get().figures.get().outcome == "introduced"

    def test_a_lesson_yet_to_come_has_no_record(self, lesson, instructor, settings):
        settings.TODAY = "2026-01-05"
        with pytest.raises(ValidationError, match="is on Tuesday 6 January"):
            write(lesson, instructor)

    def test_before_its_hour_the_writer_says_that_it_has_taken_place(self, lesson, instructor, wall_clock):
        wall_clock("19:29")
        with pytest.raises(ValidationError, match="begins at 19:30"):
            write(lesson, instructor)
        assert write(lesson, instructor, early=True).version == 1

    def test_the_sheet_is_kept_with_the_first_record_alone(self, lesson, instructor):
        write(lesson, instructor)
        kept = PlannedSheet.objects.get()
        write(lesson, instructor, version=1)
        assert PlannedSheet.objects.get() == kept
        assert kept.said["rows"][0]["starts"] == "19:30"

    def test_a_cancelled_lesson_has_no_record(self, lesson, instructor, director):
        cancel_lesson(lesson=lesson, because="snow", by=director)
        with pytest.raises(ValidationError, match="was cancelled"):
            write(lesson, instructor)

    @pytest.mark.parametrize(
        ("happened", "says"),
        [
            (("introduced", "", 5), "belong to a figure to finish later"),
            (("finish_later", "", 0), "at least 1 more minute"),
            (("perhaps", "", None), "whether it was new"),
        ],
    )
    def test_what_cannot_have_happened_is_refused(self, lesson, fan, instructor, happened, says):
        with pytest.raises(ValidationError, match=says):
            write(lesson, instructor, outcomes={fan: happened})
        assert not LessonRecord.objects.exists()

    def test_a_figure_of_another_dance_is_refused(self, lesson, instructor):
        with pytest.raises(ValidationError, match="another dance"):
            write(lesson, instructor, outcomes={FigureFactory(): ("introduced", "", None)})


class TestKnowledge:
    def test_the_levels_below_are_known(self, course, level, fan):
        basic = FigureFactory(level=LevelFactory(dance=level.dance, rank=1))
        assert known_figures(course) == {basic.pk}

    def test_what_the_continued_courses_recorded_is_known_however_long_ago(self, course, level, fan):
        first, second = CourseFactory(level=level), CourseFactory(level=level)
        second.continues, course.continues = first, second
        second.save()
        course.save()
        RecordFactory(lesson=weekly_lessons(first, 1)[0], taught={fan: "introduced"})
        assert known_figures(course) == {fan.pk}

    def test_what_a_continued_course_only_began_is_not_known(self, course, level, fan):
        before = CourseFactory(level=level)
        course.continues = before
        course.save()
        RecordFactory(lesson=weekly_lessons(before, 1)[0], taught={fan: "finish_later"})
        assert known_figures(course) == set()

    def test_what_is_ticked_as_taught_before_is_known(self, course, fan):
        TaughtBefore.objects.create(course=course, figure=fan)
        assert known_figures(course) == {fan.pk}

    def test_courses_that_continue_each_other_do_not_hang(self, course, level):
        other = CourseFactory(level=level, continues=course)
        course.continues = other
        course.save()
        assert known_figures(course) == set()

    def test_taught_is_recorded_as_introduced_with_its_first_evening(self, course, fan, level):
        lessons = weekly_lessons(course, 3)
        later = FigureFactory(level=level)
        RecordFactory(lesson=lessons[0], taught={fan: "introduced", later: "finish_later"})
        RecordFactory(lesson=lessons[1], taught={fan: "introduced", later: "introduced"})
        assert taught_in(course) == {fan.pk: lessons[0].date, later.pk: lessons[1].date}
        assert taught_in(course, until=lessons[0].date) == {fan.pk: lessons[0].date}

    def test_a_course_dances_its_routine_as_far_as_it_was_taught(self, course, level):
        """Planned is not taught: only the record opens the routine."""
        closed = HoldFactory(dance=level.dance, name="closed")
        passages = [
            PassageFactory(figure=FigureFactory(level=level), entry_hold=closed, exit_hold=closed)
            for _ in range(3)
        ]
        course.routine = RoutineFactory(level=level, dances=passages)
        course.save()
        lessons = weekly_lessons(course, 2)
        RecordFactory(lesson=lessons[0], taught={passages[0].figure: "introduced"})
        RecordFactory(lesson=lessons[1], taught={passages[1].figure: "introduced"})
        assert danceable(course, on=lessons[0].date).danceable == 1
        assert danceable(course, on=lessons[1].date).danceable == 2

    def test_a_course_without_a_routine_dances_none(self, course):
        assert danceable(course, on=course.term.last_day) is None
