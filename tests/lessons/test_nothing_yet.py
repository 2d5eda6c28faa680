"""Where there is nothing yet, a page says what comes first: for each reader, one step on."""

import pytest
from django.urls import reverse

from tests.factories import (
    CourseFactory,
    DanceFactory,
    EnrolmentFactory,
    LevelFactory,
    PlanFactory,
    TermFactory,
)


@pytest.fixture(autouse=True)
def story_day(settings, school):
    settings.TODAY = "2026-01-20"


@pytest.fixture
def course():
    """A course without lessons, people and plan, on a level without figures."""
    return CourseFactory(term=TermFactory(), level=LevelFactory(dance=DanceFactory(name="waltz")))


def leads(client, page, keys, to):
    """Whether the page links to that address."""
    answer = client.get(reverse(page, args=keys))
    assert answer.status_code == 200
    return f'href="{to}"' in answer.content.decode()


def test_without_a_term_or_a_dance_an_instructor_is_told_who_begins(client, instructor):
    client.force_login(instructor)
    for page in ("lessons:term", "curriculum:dances"):
        text = client.get(reverse(page)).content.decode()
        assert "A director of the school" in text
        assert f'href="{reverse("lessons:home")}">Today’s page' in text


def test_an_instructor_of_no_course_is_told_who_names_one(client, instructor):
    client.force_login(instructor)
    assert "a director names who teaches a course" in client.get(reverse("lessons:home")).content.decode()


def test_a_dance_without_a_level_gets_its_first_before_there_is_a_course(as_director):
    assert leads(as_director, "lessons:course-new", [], reverse("curriculum:dance-new"))
    dance = DanceFactory()
    assert leads(as_director, "lessons:course-new", [], reverse("curriculum:level-new", args=[dance.pk]))


@pytest.mark.parametrize(
    ("page", "step", "fragment"),
    [
        ("lessons:course", "lessons:course-edit", ""),
        ("lessons:sign-offs", "lessons:course", "#people"),
        ("lessons:plan-history", "lessons:course", "#plans"),
    ],
)
def test_a_course_of_which_there_is_nothing_leads_on(as_director, course, page, step, fragment):
    assert leads(as_director, page, [course.pk], reverse(step, args=[course.pk]) + fragment)


def test_a_term_in_which_nothing_is_to_be_planned_leads_back_to_its_courses(as_director, course):
    term = course.term_id
    assert leads(as_director, "lessons:school-plan", [term], reverse("lessons:term", args=[term]))


def test_a_plan_that_teaches_nothing_is_not_called_one_that_fits(as_director, course):
    plan = PlanFactory(course=course)
    text = as_director.get(reverse("lessons:plan-publish", args=[plan.pk])).content.decode()
    assert "This plan teaches no figures" in text
    assert "Everything fits" not in text
    assert reverse("lessons:plan-figures", args=[plan.pk]) in text


def test_a_level_without_figures_is_not_said_to_be_taught(client, student, course):
    EnrolmentFactory(course=course, person=student)
    client.force_login(student)
    text = client.get(reverse("lessons:my-level-course", args=[course.pk])).content.decode()
    assert "No figure stands on this level yet." in text
    assert "all of it is taught" not in text
