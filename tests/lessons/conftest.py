"""An evening of a course, for the pages and rules of one lesson. A test that needs other dates says so."""

import pytest
from django.core.cache import caches

from lessons.runs import run_rows
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    PlanFactory,
    PlanFigureFactory,
    weekly_lessons,
)
from tests.lessons.planned import TODAY


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
def story_day(settings):
    """The day of `tests.lessons.planned`: of its lessons five have been, the sixth is to come."""
    settings.TODAY = TODAY


@pytest.fixture
def before_the_term(settings):
    settings.TODAY = "2026-01-01"


@pytest.fixture
def after_tonight(settings, school, wall_clock):
    """A quarter past the end of tonight's lesson, which runs from 19:30 to 20:30."""
    settings.TODAY = "2026-01-20"
    wall_clock("20:45")


@pytest.fixture
def plan(course):
    return PlanFactory(course=course, status="published")


@pytest.fixture
def whisk(course, plan, tonight):
    """New tonight."""
    figure = FigureFactory(level=course.levels.get(), name="whisk")
    PlanFigureFactory(plan=plan, figure=figure, new_in=tonight)
    return figure


@pytest.fixture
def enrolled(course, student):
    return EnrolmentFactory(course=course, person=student, role="F")


@pytest.fixture
def as_student(client, student, enrolled):
    """A student of the course."""
    client.force_login(student)
    return client


@pytest.fixture
def own(run):
    """A worker's claim to the planning run a test has made."""
    return run_rows.claim(run.pk, worker="first")


@pytest.fixture
def as_instructor(client, instructor):
    client.force_login(instructor)
    return client


@pytest.fixture
def anew(settings, school):
    """Pages are kept, and no verdict is known yet. `anew(ask)` is what `ask()` says where nothing is kept."""
    settings.TODAY, settings.KEPT_PAGES = TODAY, 50
    caches["verdicts"].clear()

    def asked(ask):
        settings.KEPT_PAGES = 0
        found = ask()
        settings.KEPT_PAGES = 50
        return found

    return asked
