"""Cancelling a lesson, moving one, giving one to another instructor."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from lessons.actions.calendar import lay_out_lessons
from lessons.actions.changes import cancel_lesson, give_lesson, move_lesson, restore_lesson
from lessons.models import LessonInstructor
from tests.factories import (
    ClosureFactory,
    CourseFactory,
    LessonFactory,
    MeetingFactory,
    PersonFactory,
    PrivateLessonFactory,
    RecordFactory,
    RoomFactory,
)

pytestmark = pytest.mark.django_db

WEDNESDAY = dt.date(2026, 1, 7)


@pytest.fixture(autouse=True)
def the_day_before(settings):
    settings.TODAY = "2026-01-05"


@pytest.fixture
def lesson():
    """Tuesday 6 January 2026, 19:30 to 20:30."""
    return LessonFactory()


class TestCancelling:
    def test_a_cancelled_lesson_stays_with_its_reason(self, lesson, director):
        cancel_lesson(lesson=lesson, because="burst pipe", by=director)
        lesson.refresh_from_db()
        assert lesson.is_cancelled
        assert lesson.cancelled_because == "burst pipe"

    def test_it_is_not_cancelled_twice(self, lesson, director):
        cancel_lesson(lesson=lesson, because="burst pipe", by=director)
        with pytest.raises(ValidationError, match="cancelled already"):
            cancel_lesson(lesson=lesson, because="snow", by=director)

    def test_what_took_place_is_not_cancelled(self, lesson, director):
        RecordFactory(lesson=lesson)
        with pytest.raises(ValidationError, match="took place"):
            cancel_lesson(lesson=lesson, because="snow", by=director)


class TestMoving:
    def move(self, lesson, by, *, date=WEDNESDAY, start=dt.time(19, 30), room=None):
        move_lesson(lesson=lesson, date=date, start=start, room=room or lesson.room, by=by)

    def test_a_lesson_moves_to_another_date_time_and_room(self, lesson, director):
        loft = RoomFactory(name="Loft")
        self.move(lesson, director, start=dt.time(18), room=loft)
        lesson.refresh_from_db()
        assert (lesson.date, lesson.start, lesson.room) == (WEDNESDAY, dt.time(18), loft)
        assert lesson.first_date == dt.date(2026, 1, 6)

    def test_a_taken_room_is_refused_with_who_has_it(self, lesson, director):
        other = LessonFactory(
            course=CourseFactory(name="Swing"), date=WEDNESDAY, start=dt.time(20), room=lesson.room
        )
        with pytest.raises(
            ValidationError, match=f"{lesson.room} is taken then: Swing, Wednesday 7 January, 20:00 to 21:00"
        ):
            self.move(lesson, director)
        self.move(lesson, director, start=dt.time(19))
        assert (lesson.date, lesson.end) == (other.date, other.start), "one may begin as the other ends"

    def test_a_cancelled_lesson_takes_no_room(self, lesson, director):
        LessonFactory(date=WEDNESDAY, room=lesson.room, cancelled_at=timezone.now())
        self.move(lesson, director)

    def test_a_late_lesson_of_the_evening_before_takes_the_room_past_midnight(self, lesson, director):
        LessonFactory(date=lesson.date, start=dt.time(23, 30), minutes=90, room=lesson.room)
        with pytest.raises(ValidationError, match="is taken then"):
            self.move(lesson, director, start=dt.time(0, 30))

    def test_a_course_does_not_meet_twice_at_a_time(self, lesson, director):
        LessonFactory(course=lesson.course, date=WEDNESDAY, start=dt.time(19), room=RoomFactory())
        with pytest.raises(ValidationError, match="The course has a lesson then already"):
            self.move(lesson, director)

    def test_an_instructor_does_not_teach_two_lessons_at_a_time(self, lesson, instructor, director):
        lesson.course.courseinstructor_set.create(person=instructor)
        LessonFactory(course=CourseFactory(name="Swing", taught_by=[instructor]), date=WEDNESDAY)
        with pytest.raises(
            ValidationError, match="Tobin Marl teaches then already: Swing, Wednesday 7"
        ) as no:
            self.move(lesson, director)
        assert list(no.value.message_dict) == ["start"]
        self.move(lesson, director, start=dt.time(18, 30))

    def test_private_lessons_take_instructors_and_rooms_as_courses_do(self, lesson, instructor, director):
        lesson.course.courseinstructor_set.create(person=instructor)
        PrivateLessonFactory(
            instructor=instructor, date=WEDNESDAY, start=dt.time(20), minutes=45, room=lesson.room
        )
        with pytest.raises(ValidationError) as refused:
            self.move(lesson, director)
        assert refused.value.message_dict == {
            "start": ["Tobin Marl gives a private lesson then: Wednesday 7 January, 20:00 to 20:45."],
            "room": [f"{lesson.room} is taken then: a private lesson, Wednesday 7 January, 20:00 to 20:45."],
        }
        self.move(lesson, director, start=dt.time(19))

    def test_a_private_lesson_without_a_room_takes_none(self, lesson, director):
        PrivateLessonFactory(date=WEDNESDAY, start=lesson.start, room=None)
        self.move(lesson, director)

    def test_whoever_gave_the_other_lesson_away_is_free(self, lesson, instructor, director):
        lesson.course.courseinstructor_set.create(person=instructor)
        other = LessonFactory(course=CourseFactory(taught_by=[instructor]), date=WEDNESDAY)
        give_lesson(lesson=other, to=PersonFactory(roles=["instructor"]), by=director)
        self.move(lesson, director)

    def test_everything_that_is_taken_is_said_at_once(self, lesson, instructor, director):
        lesson.course.courseinstructor_set.create(person=instructor)
        LessonFactory(course=CourseFactory(taught_by=[instructor]), date=WEDNESDAY, room=lesson.room)
        with pytest.raises(ValidationError) as refused:
            self.move(lesson, director)
        assert set(refused.value.message_dict) == {"room", "start"}

    def test_a_day_without_class_is_refused_with_its_reason(self, lesson, director):
        ClosureFactory(first_day=WEDNESDAY, reason="floor is varnished")
        with pytest.raises(ValidationError, match="no class on Wednesday 7 January: floor is varnished"):
            self.move(lesson, director)

    def test_another_room_s_closure_is_no_hindrance(self, lesson, director):
        ClosureFactory(first_day=WEDNESDAY, room=RoomFactory())
        self.move(lesson, director)

    def test_a_time_the_clocks_jump_over_does_not_exist(self, lesson, director):
        """Europe/London goes from 01:00 to 02:00 on 29 March 2026 (IANA time zone database)."""
        with timezone.override("Europe/London"), pytest.raises(ValidationError, match=r"no 01:30"):
            self.move(lesson, director, date=dt.date(2026, 3, 29), start=dt.time(1, 30))

    def test_a_lesson_may_change_its_start_by_less_than_its_length(self, lesson, director):
        self.move(lesson, director, date=lesson.date, start=dt.time(19, 45))
        assert lesson.start == dt.time(19, 45)

    def test_what_took_place_or_was_cancelled_is_not_moved(self, lesson, director):
        other = LessonFactory(cancelled_at=timezone.now())
        RecordFactory(lesson=lesson)
        for fixed in (lesson, other):
            with pytest.raises(ValidationError):
                self.move(fixed, director)


class TestTakingPlaceAfterAll:
    @pytest.fixture
    def cancelled(self, lesson, director):
        cancel_lesson(lesson=lesson, because="burst pipe", by=director)
        return lesson

    def test_a_cancelled_lesson_takes_place_where_and_when_it_stood(self, cancelled, director):
        restore_lesson(lesson=cancelled, by=director)
        cancelled.refresh_from_db()
        assert not cancelled.is_cancelled
        assert (cancelled.cancelled_because, cancelled.start) == ("", dt.time(19, 30))

    def test_not_if_the_room_has_been_given_away(self, cancelled, director):
        LessonFactory(course=CourseFactory(name="Swing"), date=cancelled.date, room=cancelled.room)
        with pytest.raises(ValidationError, match="is taken then: Swing"):
            restore_lesson(lesson=cancelled, by=director)
        cancelled.refresh_from_db()
        assert cancelled.is_cancelled

    def test_not_if_the_instructor_teaches_elsewhere(self, cancelled, instructor, director):
        cancelled.course.courseinstructor_set.create(person=instructor)
        LessonFactory(course=CourseFactory(name="Swing", taught_by=[instructor]), date=cancelled.date)
        with pytest.raises(ValidationError, match="Tobin Marl teaches then already"):
            restore_lesson(lesson=cancelled, by=director)

    def test_not_on_a_day_without_class(self, cancelled, director):
        ClosureFactory(first_day=cancelled.date, reason="hall hired out")
        with pytest.raises(ValidationError, match="no class on Tuesday 6 January: hall hired out"):
            restore_lesson(lesson=cancelled, by=director)

    def test_one_that_takes_place_anyway_is_left_alone(self, lesson, director):
        with pytest.raises(ValidationError, match="it is not cancelled"):
            restore_lesson(lesson=lesson, by=director)


class TestGiving:
    @pytest.fixture
    def regular(self):
        return PersonFactory(name="Regular Teacher", roles=["instructor"])

    @pytest.fixture
    def taught(self, regular):
        return LessonFactory(course=CourseFactory(taught_by=[regular]))

    def given_to(self, lesson):
        return [(row.person, row.covers) for row in LessonInstructor.objects.filter(lesson=lesson)]

    def test_another_instructor_takes_the_lesson_for_the_regular_one(self, taught, instructor, director):
        give_lesson(lesson=taught, to=instructor, by=director)
        assert self.given_to(taught) == [(instructor, True)]

    def test_one_of_two_takes_it_alone(self, taught, regular, instructor, director):
        taught.course.courseinstructor_set.create(person=instructor)
        give_lesson(lesson=taught, to=instructor, by=director)
        assert self.given_to(taught) == [(instructor, False)]

    def test_given_back_it_is_an_ordinary_lesson_again(self, taught, regular, instructor, director):
        give_lesson(lesson=taught, to=instructor, by=director)
        give_lesson(lesson=taught, to=regular, by=director)
        assert self.given_to(taught) == []

    @pytest.mark.parametrize("is_cover", [False, True])
    def test_whoever_has_it_already_is_not_given_it(self, taught, regular, instructor, director, is_cover):
        if is_cover:
            give_lesson(lesson=taught, to=instructor, by=director)
        with pytest.raises(ValidationError, match="gives this lesson already"):
            give_lesson(lesson=taught, to=instructor if is_cover else regular, by=director)

    @pytest.mark.parametrize("roles", [["student"], ["director"], []])
    def test_only_an_instructor_teaches(self, taught, director, roles):
        with pytest.raises(ValidationError, match="is not an instructor"):
            give_lesson(lesson=taught, to=PersonFactory(roles=roles), by=director)

    def test_whoever_left_the_school_teaches_no_more(self, taught, director):
        with pytest.raises(ValidationError, match="is not an instructor"):
            give_lesson(lesson=taught, to=PersonFactory(roles=["instructor"], is_active=False), by=director)

    def test_nobody_teaches_two_lessons_at_a_time(self, taught, instructor, director):
        LessonFactory(course=CourseFactory(name="Swing", taught_by=[instructor]), start=dt.time(20))
        with pytest.raises(
            ValidationError, match="teaches then already: Swing, Tuesday 6 January, 20:00 to 21:00"
        ):
            give_lesson(lesson=taught, to=instructor, by=director)

    def test_nobody_takes_a_lesson_over_while_giving_a_private_one(self, taught, instructor, director):
        PrivateLessonFactory(instructor=instructor, date=taught.date, start=dt.time(20))
        with pytest.raises(ValidationError, match="gives a private lesson then: Tuesday 6 January, 20:00"):
            give_lesson(lesson=taught, to=instructor, by=director)

    def test_a_lesson_covered_elsewhere_counts_too(self, taught, instructor, director):
        elsewhere = LessonFactory(course=CourseFactory(taught_by=[PersonFactory(roles=["instructor"])]))
        give_lesson(lesson=elsewhere, to=instructor, by=director)
        with pytest.raises(ValidationError, match="teaches then already"):
            give_lesson(lesson=taught, to=instructor, by=director)

    def test_whoever_gave_a_lesson_away_is_free(self, taught, regular, instructor, director):
        give_lesson(lesson=taught, to=instructor, by=director)
        other = LessonFactory(course=CourseFactory(taught_by=[PersonFactory(roles=["instructor"])]))
        give_lesson(lesson=other, to=regular, by=director)
        assert self.given_to(other) == [(regular, True)]


def test_a_moved_lesson_is_known_again_when_lessons_are_laid_out(director):
    meeting = MeetingFactory()
    course = meeting.course
    lesson = lay_out_lessons(course=course)[0]
    move_lesson(lesson=lesson, date=WEDNESDAY, start=dt.time(18), room=lesson.room, by=director)
    assert lay_out_lessons(course=course) == []
