"""A person's page says what they dance and teach."""

import datetime as dt

import pytest
from django.urls import reverse

from lessons.models import LessonInstructor
from lessons.people.person_note import of_person
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    HelperFactory,
    LessonFactory,
    MeetingFactory,
    PersonFactory,
    PrivateLessonFactory,
    TermFactory,
)

TODAY = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TODAY.isoformat()


@pytest.fixture
def before():
    """A term that is over."""
    return TermFactory(name="Autumn", first_day=dt.date(2025, 9, 1), last_day=dt.date(2025, 12, 12))


@pytest.fixture
def ada():
    return PersonFactory(name="Ada Brinklow", roles=["student"])


def page(client, person):
    return client.get(reverse("school:person", args=[person.pk])).content.decode()


def test_what_somebody_dances_in_which_role_and_when(as_instructor, ada):
    course = CourseFactory(name="Waltz on Tuesdays")
    MeetingFactory(course=course, weekday=1, start=dt.time(19, 30))
    EnrolmentFactory(course=course, person=ada, role="F", dances_both=True, joined=dt.date(2026, 1, 12))
    text = page(as_instructor, ada)
    assert f'<a href="{reverse("lessons:course", args=[course.pk])}">Waltz on Tuesdays</a>' in text
    assert "as follower, dances both, from Mon 12 Jan." in text
    assert "Tuesday 19:30" in text


def test_what_is_over_or_was_left_stands_below(ada, before, director):
    now, left, old = CourseFactory(), CourseFactory(), CourseFactory(term=before)
    here = EnrolmentFactory(course=now, person=ada)
    gone = EnrolmentFactory(course=left, person=ada, left=dt.date(2026, 1, 13))
    then = EnrolmentFactory(course=old, person=ada)
    found = of_person(ada, director)
    assert found.dances == (here,)
    assert found.danced == (gone, then)


def test_what_an_instructor_teaches_and_takes_for_others(as_instructor, instructor, before):
    CourseFactory(name="Waltz on Tuesdays", taught_by=[instructor])
    CourseFactory(name="Waltz of the autumn", taught_by=[instructor], term=before)
    for days in (-7, 7):
        lesson = LessonFactory(
            course=CourseFactory(name=f"Swing {days}"), date=TODAY + dt.timedelta(days=days)
        )
        LessonInstructor.objects.create(lesson=lesson, person=instructor, covers=True)
    text = page(as_instructor, instructor)
    teaches, taught = text.split("<summary>Before</summary>")
    assert "Waltz on Tuesdays" in teaches
    assert "Swing 7" in teaches
    assert "Waltz of the autumn" in taught
    assert "Swing -7" not in text


def test_of_private_lessons_each_reads_those_they_may(director, instructor, ada):
    mine = PrivateLessonFactory(person=ada, instructor=instructor, date=TODAY)
    other = PrivateLessonFactory(person=ada, date=TODAY + dt.timedelta(days=1))
    assert of_person(ada, instructor).private == (mine,)
    assert of_person(ada, director).private == (mine, other)


def test_whoever_is_in_no_course_reads_so(as_instructor, ada):
    assert "Ada dances and teaches in no course yet." in page(as_instructor, ada)


@pytest.mark.parametrize("size", [1, 7])
def test_it_costs_the_same_however_many_courses(ada, director, before, size, django_assert_num_queries):
    for _ in range(size):
        for term in ({}, {"term": before}):
            course = CourseFactory(taught_by=[ada], **term)
            MeetingFactory(course=course)
            EnrolmentFactory(course=course, person=ada)
        PrivateLessonFactory(person=ada, date=TODAY)
    with django_assert_num_queries(9):
        of_person(ada, director)


def test_nobody_asks_whether_who_has_left_can_be_called(as_director):
    piet, nerys = (HelperFactory(person__name=name).person for name in ("Piet Lammas", "Nerys Gorwell"))
    offer = reverse("lessons:helper", args=[piet.pk])
    assert offer in page(as_director, piet)
    piet.is_active = False
    piet.save()
    assert offer not in page(as_director, piet)
    assert "Can be called" not in page(as_director, piet)
    for answer in (as_director.get(offer), as_director.post(offer, {"role": "B"})):
        text = answer.content.decode()
        assert "Piet Lammas has left the school" in text
        assert "be called?" not in text
        assert 'name="role"' not in text
    listed = as_director.get(reverse("lessons:teachers")).content.decode()
    assert nerys.name in listed
    assert piet.name not in listed
