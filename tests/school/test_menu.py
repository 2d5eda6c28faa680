"""The menu marks the section a page belongs to; a date says its year where that is not this year's."""

import datetime as dt

import pytest
from django.urls import reverse

from school.templatetags.words import day
from tests.factories import CourseFactory, EnrolmentFactory, FigureFactory, PersonFactory, weekly_lessons


def marked(client, name, *arguments):
    """The menu's marked entries on a page, with how they are marked."""
    text = client.get(reverse(name, args=arguments)).content.decode()
    menu = text[text.index('<nav aria-label="Main">') : text.index("</nav>")]
    entries = [entry.split("</a>")[0] for entry in menu.split("<a ")[1:]]
    return [
        (entry.split(">")[1], entry.split('aria-current="')[1].split('"')[0])
        for entry in entries
        if "aria-current" in entry
    ]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("lessons:home", ("Today", "page")),
        ("lessons:term", ("The term", "page")),
        ("lessons:closure-new", ("The term", "true")),
        ("lessons:course-new", ("The term", "true")),
        ("curriculum:dances", ("Dances", "page")),
        ("school:people", ("People", "page")),
        ("school:person-new", ("People", "true")),
        ("school:set-up", ("School", "page")),
        ("school:room-new", ("School", "true")),
    ],
)
def test_exactly_one_entry_is_marked(as_director, name, expected):
    assert marked(as_director, name) == [expected]


@pytest.mark.parametrize("name", ["my-calendar", "at-home", "missed", "ready"])
def test_what_a_student_does_between_lessons_belongs_to_their_level(client, school, student, name):
    course = EnrolmentFactory(person=student).course
    client.force_login(student)
    arguments = [] if name == "my-calendar" else [course.pk]
    assert marked(client, f"lessons:{name}", *arguments) == [("My level", "true")]


def test_what_belongs_to_a_course_a_dance_or_a_person_is_marked_too(as_director):
    course, figure, person = CourseFactory(), FigureFactory(), PersonFactory()
    lesson = weekly_lessons(course, 1)[0]
    assert marked(as_director, "lessons:course", course.pk) == [("The term", "true")]
    assert marked(as_director, "lessons:lesson", lesson.pk) == [("The term", "true")]
    assert marked(as_director, "curriculum:figure", figure.pk) == [("Dances", "true")]
    assert marked(as_director, "school:person", person.pk) == [("People", "true")]


def test_only_a_director_is_offered_the_school(client, school, instructor):
    client.force_login(instructor)
    assert f'href="{reverse("school:set-up")}"' not in client.get(reverse("lessons:home")).content.decode()


@pytest.mark.parametrize(
    ("date", "said"),
    [
        (dt.date(2026, 3, 4), "Wed 4 Mar"),
        (dt.date(1999, 1, 1), "Fri 1 Jan 1999"),
        (dt.date(2031, 1, 1), "Wed 1 Jan 2031"),
        (None, ""),
    ],
)
def test_a_date_of_another_year_says_which(settings, date, said):
    settings.TODAY = "2026-11-25"
    assert day(date) == said
