"""Lists cost as many queries in a large school as in one half its size, and send no more of it at once."""

import datetime as dt

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lessons.models import LessonSession
from school.models import Person
from tests.benchmarks.large_school import Size, load_large_school

WEDNESDAY = dt.date(2026, 3, 4)
# Names are not all of one length, nor are the weeks of a page of courses as many.
NO_MORE = 1.15
# Read course by course before it is done; and chosen from all who teach.
TELLS_OF_ALL = {"what is to be planned", "teachers", "a new private lesson"}
# A course without a plan may stand on a page of the term: its lessons are read by themselves.
OF_CHANCE = {"the term": 3, "courses sought": 3, "the term's picture": 3}


def lists():
    """What is read -> (by whom, address)."""
    lesson = LessonSession.objects.given().filter(date=WEDNESDAY, course__key__contains="-").in_order()[0]
    teacher = lesson.course.courseinstructor_set.all()[0].person.username
    people, term, term_key = reverse("school:people"), reverse("lessons:term"), [lesson.course.term_id]
    return {
        "people": ("director", people),
        "people of a name and role": ("director", f"{people}?q=dunmore&role=student"),
        "a later page of people": ("director", f"{people}?page=2&order=newest"),
        "the term": ("director", term),
        "courses sought": ("director", f"{term}?q=waltz&page=2&order=day"),
        "the term's picture": ("director", reverse("lessons:term-picture", args=term_key)),
        "what is to be planned": ("director", reverse("lessons:school-plan", args=term_key)),
        "ready": ("director", reverse("lessons:ready-school")),
        "teachers": ("director", reverse("lessons:teachers")),
        "private lessons": ("director", reverse("lessons:private-lessons")),
        "a new private lesson": ("director", reverse("lessons:private-new")),
        "today of the director": ("director", reverse("lessons:home")),
        "today of an instructor": (teacher, reverse("lessons:home")),
    }


def _count_rows():
    """PostgreSQL counts what was written by itself, but never what an open transaction has: it would take
    these tables to be as empty as they are to others, and read one again for each row of the next."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def costs(size):
    """What is read -> (queries, bytes), in a school of this size."""
    found = {}
    with transaction.atomic():
        load_large_school(size)
        _count_rows()
        for page, (who, address) in lists().items():
            client = Client()
            client.force_login(Person.objects.get(username=who))
            client.get(address)
            with CaptureQueriesContext(connection) as seen:
                answer = client.get(address)
            assert answer.status_code == 200
            found[page] = len(seen), len(answer.content)
        transaction.set_rollback(True)
    return found


@pytest.mark.django_db
def test_lists_cost_the_same_whatever_the_size_of_the_school(settings):
    settings.TODAY = WEDNESDAY.isoformat()
    half, whole = costs(Size(courses=24, students=300)), costs(Size(courses=48, students=600))
    dearer = {
        page: (half[page][0], queries)
        for page, (queries, _) in whole.items()
        if queries > half[page][0] + OF_CHANCE.get(page, 0)
    }
    assert dearer == {}
    larger = {
        page: (half[page][1], size)
        for page, (_, size) in whole.items()
        if size > NO_MORE * half[page][1] and page not in TELLS_OF_ALL
    }
    assert larger == {}
