"""No student reaches what is another's: every address is walked with every number there is, read and written,
with the other's key in every field a form might look at."""

import datetime as dt
import itertools

import pytest
from django.apps import apps
from django.core.management.color import no_style
from django.db import connection
from django.urls import reverse

from curriculum.models import Figure
from lessons.models import (
    Attendance,
    CalendarAddress,
    CatchUp,
    Course,
    CourseGroup,
    Enrolment,
    LessonSession,
    OwnMark,
    OwnNote,
    PrivateLesson,
    SignOff,
)
from school.models import Person
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    PrivateLessonFactory,
    RecordFactory,
    calendar_address,
    weekly_lessons,
)
from tests.test_access import PATTERNS

# What only the other student and those who teach may ever read.
OWN = ("Vespera", "vespera@example.org", "the note of another", "homework of another", "Cellar by the mill")
TABLES = (OwnNote, OwnMark, SignOff, Attendance, CatchUp, PrivateLesson, CalendarAddress, Enrolment)
# Ends the session of whoever walks; and what asks for a password of one's own.
LEFT_ALONE = {"school:sign-out", "school:sign-in", "school:password"}


@pytest.fixture(autouse=True)
def counted_from_one(db):
    """Keys begin at 1 in every empty table. They go on from test to test else, far apart; and as every key
    there is stands in every place, a walk among those takes many times as long and meets no more."""
    empty = {model._meta.db_table for model in apps.get_models() if not model.objects.exists()}
    counts = [count for count in connection.introspection.sequence_list() if count["table"] in empty]
    with connection.cursor() as cursor:
        for command in connection.ops.sequence_reset_by_name_sql(no_style(), counts):
            cursor.execute(command)


@pytest.fixture
def other(school, student, instructor, settings):
    """Somebody of the same course, of whom everything is kept that can be kept."""
    settings.TODAY = "2026-01-14"
    level, group = LevelFactory(rank=1), CourseGroup.objects.create(name="in step")
    figure = FigureFactory(level=level, name="whisk")
    course = CourseFactory(level=level, group=group, taught_by=[instructor])
    evening = CourseFactory(level=level, group=group, term=course.term, taught_by=[instructor])
    other = PersonFactory(name="Vespera Quill", email="vespera@example.org", roles=["student"])
    for person in (student, other):
        EnrolmentFactory(course=course, person=person, role="F")
    been, _ = weekly_lessons(course, 2)
    record = RecordFactory(lesson=been, taught={figure: "introduced"})
    Attendance.objects.create(record=record, person=other, role="F")
    thursday, _ = weekly_lessons(evening, 2, first=dt.date(2026, 1, 15))
    PlanFigureFactory(plan=PlanFactory(course=evening, status="published"), figure=figure, new_in=thursday)
    CatchUpFactory(lesson=thursday, missed=been, person=other)
    OwnNote.objects.create(person=other, figure=figure, text="the note of another")
    OwnMark.objects.create(person=other, figure=figure, role="F", mark="thinking")
    SignOff.objects.create(person=other, figure=figure, role="F", day=been.date, signed_by=instructor)
    private = PrivateLessonFactory(person=other, instructor=instructor, worked_on={figure: "reviewed"})
    private.homework = "homework of another"
    private.save()
    calendar_address("Cellar by the mill", other)
    return other


def keys_there_are():
    """The keys of everything that is somebody's, and of the lessons and courses it hangs on."""
    models = (*TABLES, Person, Course, LessonSession, Figure)
    return sorted({key for model in models for key in model.objects.values_list("pk", flat=True)})


def every_address():
    """Every pattern with every key there is in every place; words stand for a secret guessed."""
    keys = keys_there_are()
    for name, pattern in PATTERNS:
        if name in LEFT_ALONE:
            continue
        parts = pattern.pattern.converters
        numbers = [part for part, kind in parts.items() if type(kind).__name__ == "IntConverter"]
        words = dict.fromkeys(parts.keys() - set(numbers), "guess")
        for chosen in itertools.product(keys, repeat=len(numbers)):
            yield name, reverse(name, kwargs=words | dict(zip(numbers, chosen, strict=True)))


def rows_of(person):
    """Everything that is kept of the person, as it stands in the database."""
    kept = {
        model.__name__: list(
            model.objects.filter(person=person)
            .order_by("pk")
            .values(*(field.attname for field in model._meta.concrete_fields))
        )
        for model in TABLES
    }
    return kept | {"Person": Person.objects.filter(pk=person.pk).values().get()}


@pytest.fixture
def as_student(client, student, other):
    client.force_login(student)
    client.raise_request_exception = False
    return client


def test_no_address_with_any_number_shows_what_is_anothers(as_student, other):
    leaks, read = [], 0
    for name, address in every_address():
        answer = as_student.get(address)
        read += answer.status_code == 200
        text = b"".join(answer).decode(errors="ignore")
        leaks += [(name, address, secret) for secret in OWN if secret in text]
    assert leaks == []
    assert read > 15


def test_no_form_with_anothers_key_in_any_field_changes_what_is_theirs(as_student, student, other):
    before = rows_of(other)
    lesson, missed = before["CatchUp"][0]["lesson_id"], before["CatchUp"][0]["missed_id"]
    fields = dict.fromkeys(("person", "user", "student", "who", "pk", "id"), other.pk)
    fields |= {"role": "F", "mark": "easy", "text": "mine now", "note": "mine now", "version": 1}
    fields |= {"lesson": lesson, "missed": missed, "answer": "confirm", "end": "1", "charts_as": "leader"}
    fields |= {"signed": [1, 2, 3], "present": [other.pk], "name": "Somebody", "next": "/"}
    for name, address in every_address():
        as_student.post(address, fields)
        assert rows_of(other) == before, (name, address)
    # what was sent did reach what is one's own
    assert OwnMark.objects.filter(person=student, mark="easy").exists()
    assert CatchUp.objects.filter(person=student).exists()


def test_a_fellow_student_is_not_said_to_have_been_there_or_not(as_student, other):
    """The list of who was there is the school's: a student reads of themselves alone."""
    attended = Attendance.objects.get(person=other).record.lesson.course
    for name in ("my-level-course", "missed", "ready", "at-home"):
        text = as_student.get(reverse(f"lessons:{name}", args=[attended.pk])).content.decode()
        assert "Vespera" not in text
    assert (
        "you weren’t there"
        in as_student.get(reverse("lessons:my-level-course", args=[attended.pk])).content.decode()
    )
