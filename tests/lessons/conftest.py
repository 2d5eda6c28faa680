"""An evening of a course, for the pages and rules of one lesson. A test that needs other dates says so."""

import pytest

from tests.factories import CourseFactory, weekly_lessons


@pytest.fixture
def course(instructor):
    return CourseFactory(taught_by=[instructor])


@pytest.fixture
def lessons(course):
    """Tuesdays 6, 13, 20 and 27 January 2026, 19:30."""
    return weekly_lessons(course, 4)


@pytest.fixture
def tonight(lessons):
    """The third, on 20 January."""
    return lessons[2]


@pytest.fixture
def as_instructor(client, instructor):
    client.force_login(instructor)
    return client
