"""A course of six lessons with an empty draft, before its term."""

import pytest

from tests.factories import (
    CourseFactory,
    LevelFactory,
    PlanFactory,
    weekly_lessons,
)
from tests.lessons.problems.rows import BEFORE_THE_TERM


@pytest.fixture(autouse=True)
def before_the_term(settings):
    settings.TODAY = BEFORE_THE_TERM.isoformat()


@pytest.fixture
def level():
    return LevelFactory(rank=2, most_new=2)


@pytest.fixture
def course(level):
    return CourseFactory(level=level)


@pytest.fixture
def lessons(course):
    """Six Tuesdays from 6 January 2026."""
    return weekly_lessons(course, 6)


@pytest.fixture
def plan(course, lessons):
    return PlanFactory(course=course)
