"""Two people, or two workers, at the same moment: one of them is told, and nothing is lost."""

import datetime as dt
import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, connections

from lessons.actions import catch_ups, helpers
from lessons.actions.calendar import lay_out_lessons
from lessons.actions.catch_ups import ask_catch_up
from lessons.actions.changes import give_lesson, move_lesson
from lessons.actions.courses import enrol
from lessons.actions.errors import Overtaken
from lessons.actions.helpers import call_helper
from lessons.actions.plans import move_introduction
from lessons.actions.records import write_record
from lessons.models import (
    CatchUp,
    CourseGroup,
    Enrolment,
    HelperCall,
    LessonRecord,
    LessonSession,
    PlanRun,
    RecordSubmission,
    TermPlan,
)
from lessons.runs import run_rows
from school.models import Person
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    HelperFactory,
    LessonFactory,
    MeetingFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RoomFactory,
    weekly_lessons,
)

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def first_day_of_the_term(settings):
    if connection.vendor == "sqlite":
        pytest.skip("SQLite's write lock is the whole database's: two transactions never write at once")
    settings.TODAY = "2026-01-06"


def at_once(*writes):
    """Runs each in a thread with a connection of its own; returns what they returned or raised, by place."""
    door = threading.Barrier(len(writes))
    answers = [None] * len(writes)

    def go(place, write):
        try:
            door.wait(10)
            answers[place] = write()
        except (Overtaken, ValidationError) as refusal:
            answers[place] = refusal
        finally:
            connections.close_all()

    threads = [threading.Thread(target=go, args=pair) for pair in enumerate(writes)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    return answers


def refusals(answers, kind):
    return [answer for answer in answers if isinstance(answer, kind)]


def test_the_last_place_is_given_once():
    course = CourseFactory(places_leaders=1)
    people = PersonFactory.create_batch(4)
    at_once(*[lambda person=person: enrol(course=course, person=person, role="L") for person in people])
    assert Enrolment.objects.filter(waiting=False).count() == 1
    assert Enrolment.objects.filter(waiting=True).count() == 3


def test_one_of_two_directors_has_the_turn():
    lessons = weekly_lessons(CourseFactory(), 4)
    plan, by = PlanFactory(course=lessons[0].course), PersonFactory(roles=["director"])
    row = PlanFigureFactory(plan=plan, figure=FigureFactory(level=plan.course.levels.get()))

    def move(lesson):
        copy = TermPlan.objects.get(pk=plan.pk)
        move_introduction(plan=copy, version=1, plan_figure=row, lesson=lesson, by=by)

    answers = at_once(lambda: move(lessons[1]), lambda: move(lessons[2]))
    assert len(refusals(answers, Overtaken)) == 1
    assert row.introductions.count() == 1
    plan.refresh_from_db()
    assert plan.version == 2


def test_one_of_two_instructors_writes_the_first_record():
    lesson, people = LessonFactory(), PersonFactory.create_batch(2)
    answers = at_once(
        *[
            lambda by=by: write_record(
                lesson=lesson, version=None, outcomes={}, present={}, by=by, early=True
            )
            for by in people
        ]
    )
    assert len(refusals(answers, Overtaken)) == 1
    assert LessonRecord.objects.count() == 1


def test_one_sending_delivered_twice_at_once_is_written_once_and_refused_to_nobody():
    lesson, by, sent = LessonFactory(), PersonFactory(), uuid.uuid4()

    def write():
        return write_record(
            lesson=lesson, version=None, outcomes={}, present={}, by=by, submission=sent, early=True
        ).version

    assert at_once(write, write, write) == [1, 1, 1]
    assert (LessonRecord.objects.count(), RecordSubmission.objects.count()) == (1, 1)


def test_one_of_two_workers_claims_the_run():
    run = PlanRun.objects.create(plan=PlanFactory(), plan_version=1)
    answers = at_once(*[lambda name=name: run_rows.claim(run.pk, worker=name) for name in ("one", "two")])
    assert answers.count(None) == 1


def test_one_of_two_lessons_gets_the_room():
    hall, by = RoomFactory(), PersonFactory(roles=["director"])
    lessons = LessonFactory.create_batch(2)
    answers = at_once(
        *[
            lambda lesson=lesson: move_lesson(
                lesson=lesson, date=lesson.date, start=lesson.start, room=hall, by=by
            )
            for lesson in lessons
        ]
    )
    assert len(refusals(answers, ValidationError)) == 1
    assert hall.lessons.count() == 1


def test_an_instructor_is_given_one_of_two_lessons_at_a_time():
    teacher = PersonFactory(roles=["instructor"])
    lessons = LessonFactory.create_batch(2)
    answers = at_once(
        *[lambda lesson=lesson: give_lesson(lesson=lesson, to=teacher, by=teacher) for lesson in lessons]
    )
    assert len(refusals(answers, ValidationError)) == 1
    assert teacher.lessons_given.count() == 1


def test_lessons_are_laid_out_once():
    course = MeetingFactory().course
    at_once(*[lambda: lay_out_lessons(course=course)] * 2)
    assert course.lessons.count() == 12


class TestTheLastPlaceToCatchUp:
    """Two students of one course ask at the same moment for the last place of the other evening: the last of
    the role, or the last that the difference between the roles leaves."""

    @pytest.fixture(params=[{"places_followers": 1}, {"allowed_difference": 1}])
    def ask(self, request):
        group = CourseGroup.objects.create(name="in step")
        own = CourseFactory(group=group)
        other = CourseFactory(term=own.term, level=own.levels.get(), group=group, **request.param)
        missed = LessonFactory(course=own, date=dt.date(2026, 1, 5))
        (coming,) = weekly_lessons(other, 1, first=dt.date(2026, 1, 8))
        people = PersonFactory.create_batch(2)
        for person in people:
            EnrolmentFactory(course=own, person=person, role="F")

        def write(person):
            lesson = LessonSession.objects.get(pk=coming.pk)
            return ask_catch_up(lesson=lesson, missed=LessonSession.objects.get(pk=missed.pk), person=person)

        return [lambda person=person: write(person) for person in people]

    def test_one_gets_it_and_the_other_a_sentence(self, ask):
        answers = at_once(*ask)
        (refusal,) = refusals(answers, ValidationError)
        assert "The last place for followers on Thursday 8 January has just" in refusal.messages[0]
        assert CatchUp.objects.holding().count() == 1

    def test_without_the_lock_both_would_get_it(self, ask, monkeypatch):
        """What the lock is for: each counts the places before the other has written."""
        counted, real = threading.Barrier(2), catch_ups.places_left

        def count_together(*place, **as_what):
            left = real(*place, **as_what)
            counted.wait(10)
            return left

        monkeypatch.setattr(catch_ups, "_locked", lambda course: course)
        monkeypatch.setattr(catch_ups, "places_left", count_together)
        assert refusals(at_once(*ask), ValidationError) == []
        assert CatchUp.objects.holding().count() == 2


class TestTheSameHelper:
    """Two who teach call one helper at the same moment, for lessons that lie at one hour."""

    @pytest.fixture
    def call(self, settings):
        settings.TODAY = "2026-01-05"
        lessons = [LessonFactory(date=dt.date(2026, 1, 6)) for _ in range(2)]
        helper, by = HelperFactory().person, PersonFactory()

        def write(lesson):
            found = LessonSession.objects.select_related("course").get(pk=lesson.pk)
            return call_helper(lesson=found, person=helper, role="L", by=by)

        return [lambda lesson=lesson: write(lesson) for lesson in lessons]

    def test_comes_to_one_of_them(self, call):
        (refusal,) = refusals(at_once(*call), ValidationError)
        assert "then already" in refusal.messages[0]
        assert HelperCall.objects.count() == 1

    def test_without_the_lock_both_would_count_on_them(self, call, monkeypatch):
        """What the lock is for: each looks before the other has written."""
        looked, real = threading.Barrier(2), helpers.dances_then

        def look_together(*when):
            found = real(*when)
            looked.wait(10)
            return found

        monkeypatch.setattr(helpers, "dances_then", look_together)
        monkeypatch.setattr(Person.objects, "select_for_update", lambda: Person.objects.all())
        assert refusals(at_once(*call), ValidationError) == []
        assert HelperCall.objects.count() == 2
