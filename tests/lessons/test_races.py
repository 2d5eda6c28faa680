"""Two people, or two workers, at the same moment: one of them is told, and nothing is lost."""

import threading
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, connections

from lessons import run_rows
from lessons.actions.calendar import lay_out_lessons
from lessons.actions.changes import give_lesson, move_lesson
from lessons.actions.courses import enrol
from lessons.actions.errors import Overtaken
from lessons.actions.plans import move_introduction
from lessons.actions.records import write_record
from lessons.models import Enrolment, LessonRecord, PlanRun, RecordSubmission, TermPlan
from tests.factories import (
    CourseFactory,
    FigureFactory,
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
