"""A figure is not new where nobody who is there teaches it."""

import datetime as dt

import pytest

from lessons.models import Away, CourseInstructor, LessonInstructor, TeachesNot
from lessons.problems import course_problem
from tests.lessons.planned import planned

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]

TERM = range(11)


@pytest.fixture
def made(instructor):
    made = planned(figures={"box": 0, "turn": 5}, recorded=False)
    CourseInstructor.objects.create(course=made.course, person=instructor)
    return made


def barred(made, name):
    return sorted(next(one for one in course_problem(made.plan).problem.figures if one.key == name).barred)


def away(person, first, last):
    return Away.objects.create(
        person=person, first_day=dt.date.fromisoformat(first), last_day=dt.date.fromisoformat(last)
    )


def test_nothing_is_new_while_the_only_instructor_is_away(made, instructor):
    away(instructor, "2026-01-20", "2026-01-27")
    assert barred(made, "box") == barred(made, "turn") == [2, 3]
    assert course_problem(made.plan).notes == (
        "Tobin Marl is away on Tuesday 20 January and nobody takes the lesson: nothing new is planned in it.",
        "Tobin Marl is away on Tuesday 27 January and nobody takes the lesson: nothing new is planned in it.",
    )


def test_a_cover_teaches_it_after_all(made, instructor, director):
    away(instructor, "2026-01-20", "2026-01-20")
    LessonInstructor.objects.create(lesson=made.lessons[2], person=director, covers=True)
    assert barred(made, "box") == []


def test_with_two_instructors_one_may_be_away(made, instructor, director):
    CourseInstructor.objects.create(course=made.course, person=director)
    away(instructor, "2026-01-20", "2026-01-20")
    assert barred(made, "box") == []


def test_a_figure_nobody_there_teaches_waits(made, instructor, director):
    """The director takes the third lesson; only she teaches the turn."""
    TeachesNot.objects.create(person=instructor, dance=made.course.dance, figure=made.row("turn").figure)
    LessonInstructor.objects.create(lesson=made.lessons[2], person=director)
    assert barred(made, "turn") == [index for index in TERM if index != 2]
    assert barred(made, "box") == []
    assert course_problem(made.plan).notes == (
        "turn is not new in lessons of Tobin Marl: they do not teach it.",
    )


def test_a_level_and_a_whole_dance_speak_of_all_their_figures(made, instructor):
    row = TeachesNot.objects.create(
        person=instructor, dance=made.course.dance, level=made.row("box").figure.level
    )
    assert barred(made, "box") == list(TERM)
    row.level = None
    row.save()
    assert barred(made, "turn") == list(TERM)
    assert course_problem(made.plan).notes == (
        "Nobody who gives this course teaches box.",
        "Nobody who gives this course teaches turn.",
    )


def test_what_has_been_is_not_spoken_of(made, instructor, settings):
    settings.TODAY = "2026-02-04"
    away(instructor, "2026-01-01", "2026-03-31")
    assert barred(made, "turn") == [5, 6, 7, 8, 9, 10]


@pytest.mark.parametrize("said", [0, 1, 6])
def test_it_costs_one_query_where_nothing_is_said_and_four_more_for_anything(
    made, instructor, said, django_assert_num_queries
):
    for number in range(said):
        away(instructor, f"2026-01-{number + 10}", f"2026-01-{number + 10}")
    with django_assert_num_queries(21 if said else 17):
        course_problem(made.plan)
