"""Two evenings of a level in step; the student danced the first and missed a lesson."""

import datetime as dt

import pytest

from lessons.models import CourseGroup
from tests.factories import (
    CourseFactory,
    FigureFactory,
    LevelFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)
from tests.lessons.catch_ups.pages import TODAY


@pytest.fixture(autouse=True)
def second_week(settings, school):
    """Wednesday of the second week."""
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def group(db):
    return CourseGroup.objects.create(name="Waltz Beginners")


@pytest.fixture
def course(group):
    """The student's, on Tuesdays."""
    return CourseFactory(level=LevelFactory(rank=1), name="Waltz on Tuesdays", group=group)


@pytest.fixture
def other(course, group, instructor):
    """The other evening, on Thursdays, with two places for followers."""
    return CourseFactory(
        level=course.levels.get(),
        term=course.term,
        name="Waltz on Thursdays",
        group=group,
        places_followers=2,
        taught_by=[instructor],
    )


@pytest.fixture
def lessons(course):
    return weekly_lessons(course, 6)


@pytest.fixture
def thursdays(other):
    """From 8 January: the second is tomorrow, the fourth lies beyond two weeks."""
    return weekly_lessons(other, 6, first=dt.date(2026, 1, 8))


@pytest.fixture
def whisk(course):
    return FigureFactory(level=course.levels.get(), name="whisk")


@pytest.fixture
def missed(lessons, whisk):
    """The first Tuesday: the whisk was new, and the student was not there."""
    RecordFactory(lesson=lessons[0], taught={whisk: "introduced"})
    return lessons[0]


@pytest.fixture
def plan(other, thursdays, whisk):
    """The other evening has the whisk new tomorrow and again a week later, and in the fourth week."""
    plan = PlanFactory(course=other, status="published")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=thursdays[1], again_in=[thursdays[2], thursdays[5]])
    return plan
