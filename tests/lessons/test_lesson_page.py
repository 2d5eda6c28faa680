"""The page of one evening: its run-sheet, its people, its room; read by all who teach."""

import datetime as dt

import pytest
from django.urls import reverse

from curriculum.models import Caution, Fault
from lessons.models import Enrolment, LessonInstructor
from lessons.ruler import MARKS, ruled
from lessons.runsheet import run_sheet
from school.models import Room, School
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    PassageFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    RoutineFactory,
    weekly_lessons,
)

TONIGHT = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TONIGHT.isoformat()


@pytest.fixture
def course(instructor):
    return CourseFactory(name="Waltz on Tuesdays", taught_by=[instructor])


@pytest.fixture
def lessons(course):
    return weekly_lessons(course, 4)


@pytest.fixture
def tonight(lessons):
    return lessons[2]


@pytest.fixture
def whisk(course, tonight):
    """New tonight, with all an instructor wants to say."""
    figure = FigureFactory(
        level=course.levels.get(), name="whisk", lead="turn the ribs", response="turns to promenade"
    )
    Fault.objects.create(figure=figure, fault="twists the arms", remedy="elbows in front")
    Caution.objects.create(figure=figure, text="keep the knees soft")
    PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=figure, new_in=tonight)
    return figure


def address(lesson):
    return reverse("lessons:lesson", args=[lesson.pk])


def page(client, person, lesson):
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client.get(address(lesson))


def test_the_sheet_says_when_how_long_and_what_to_say(client, instructor, tonight, whisk):
    text = page(client, instructor, tonight).content.decode()
    for words in ("Tonight", "19:30", "20:30", "Warm-up", "turn the ribs", "turns to promenade"):
        assert words in text
    assert "twists the arms" in text
    assert "elbows in front" in text
    assert "keep the knees soft" in text
    assert reverse("curriculum:figure", args=[whisk.pk]) in text


def test_who_dances_is_named_by_first_name_and_role_only(client, instructor, course, tonight):
    EnrolmentFactory(course=course, person=PersonFactory(name="Ada Brinklow", roles=["student"]), role="F")
    EnrolmentFactory(course=course, person=PersonFactory(name="Otto Late", roles=["student"]), waiting=True)
    text = page(client, instructor, tonight).content.decode()
    assert "1 follower" in text
    assert "Ada" in text
    assert "Brinklow" not in text
    assert "Otto" not in text


def test_first_aid_and_the_rules_of_the_room_are_on_the_page(client, instructor, tonight):
    School.objects.update(first_aid="Box by the kitchen door.")
    Room.objects.filter(pk=tonight.room_id).update(people=1, music_off=dt.time(20, 0))
    text = page(client, instructor, tonight).content.decode()
    assert "Box by the kitchen door." in text
    assert '<p class="care">Music off at 20:00.</p>' in text
    assert "People allowed: 1, expected: 1." in text


def test_a_dance_that_travels_in_a_small_room_is_warned_of(client, instructor, course, tonight):
    Room.objects.filter(pk=tonight.room_id).update(travelling_dances=False)
    course.dance.floor_use = "travels"
    course.dance.save()
    assert "Too small for a dance that travels" in page(client, instructor, tonight).content.decode()


def test_a_lesson_without_record_before_tonight_is_named(client, instructor, lessons, tonight):
    answer = page(client, instructor, tonight)
    assert "Not written up yet" in answer.content.decode()
    assert [row.pk for row in answer.context["sheet"].tonight.unrecorded] == [lessons[0].pk, lessons[1].pk]


def test_a_recorded_lesson_shows_what_was_done(client, instructor, tonight, whisk):
    RecordFactory(lesson=tonight, taught={whisk: "introduced"}, note="again from the corner")
    text = page(client, instructor, tonight).content.decode()
    assert "As it was planned" in text
    assert "again from the corner" in text


def test_a_cancelled_lesson_says_why_and_what_was_planned(client, instructor, tonight, whisk):
    tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
    tonight.cancelled_because = "boiler broken"
    tonight.save()
    text = page(client, instructor, tonight).content.decode()
    assert "boiler broken" in text
    assert "whisk" in text
    assert "runsheet" not in text


def test_who_covers_is_named_and_only_they_are_offered_the_record(client, instructor, tonight):
    cover = PersonFactory(name="Wren Tansley", roles=["instructor"])
    LessonInstructor.objects.create(lesson=tonight, person=cover, covers=True)
    record = reverse("lessons:record", args=[tonight.pk])
    theirs = page(client, cover, tonight).content.decode()
    assert "Wren" in theirs
    assert record in theirs
    assert record not in page(client, instructor, tonight).content.decode()


def test_changes_are_offered_to_the_director_alone(client, director, instructor, tonight):
    move = reverse("lessons:lesson-move", args=[tonight.pk])
    assert move in page(client, director, tonight).content.decode()
    assert move not in page(client, instructor, tonight).content.decode()


def test_students_and_strangers_find_no_such_page(client, student, outsider, course, tonight):
    EnrolmentFactory(course=course, person=student)
    assert page(client, student, tonight).status_code == 404
    assert page(client, outsider, tonight).status_code == 404


def test_who_is_not_signed_in_is_asked_to(client, tonight):
    assert client.get(address(tonight)).status_code == 302


def test_there_is_no_such_lesson(as_director):
    assert as_director.get(reverse("lessons:lesson", args=[999_999])).status_code == 404


def test_the_page_is_only_read(as_director, tonight):
    assert as_director.post(address(tonight)).status_code == 403


def test_the_ruler_marks_the_quarter_hours_of_the_wall_clock(tonight, whisk):
    tonight.start = dt.time(19, 50)
    rows = ruled(run_sheet(tonight).rows)
    marks = {kind: sum(dict(row.marks).get(kind, "").count("M") for row in rows) for kind in MARKS}
    assert marks == {"minute": 48, "five": 8, "quarter": 4}
    named = [time for row in rows for _, time in row.labels]
    assert named
    assert set(named) <= {dt.time(20, 0), dt.time(20, 15), dt.time(20, 30), dt.time(20, 45)}


@pytest.mark.parametrize("size", [2, 9])
def test_the_page_costs_the_same_whatever_the_size(
    client, instructor, course, lessons, tonight, size, django_assert_num_queries
):
    plan = PlanFactory(course=course, status="published")
    figures = [FigureFactory(level=course.levels.get()) for _ in range(2 * size)]
    for new, old in zip(figures[::2], figures[1::2], strict=True):
        PlanFigureFactory(plan=plan, figure=new, new_in=tonight)
        PlanFigureFactory(plan=plan, figure=old, new_in=lessons[1], again_in=[tonight])
        EnrolmentFactory(course=course)
    RecordFactory(lesson=lessons[1], taught=dict.fromkeys(figures[1::2], "introduced"))
    course.routine = RoutineFactory(
        level=course.levels.get(), dances=[PassageFactory(figure=figure) for figure in figures]
    )
    course.save()
    assert Enrolment.objects.count() == size
    client.force_login(instructor, backend="django.contrib.auth.backends.ModelBackend")
    with django_assert_num_queries(29):
        client.get(address(tonight))
