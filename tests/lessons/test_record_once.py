"""A record sent from a device counts once, however often a hall's network delivers it."""

import datetime as dt
import uuid

import pytest
from django.contrib.messages import constants
from django.contrib.messages.storage.base import Message
from django.contrib.messages.storage.cookie import MessageEncoder
from django.urls import reverse

from lessons.models import LessonRecord, RecordSubmission
from tests.factories import (
    CourseFactory,
    FigureFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)

SENT = uuid.UUID("6f1c1f0e-8a51-4c36-9d5e-3f6f1d0f7a11")
AGAIN = uuid.UUID("0d9f5a3c-1b7e-4f0a-8d2b-7c5e9a4b6d22")


@pytest.fixture(autouse=True)
def the_day_after(settings, school):
    settings.TODAY = "2026-01-21"


@pytest.fixture
def lessons(instructor):
    return weekly_lessons(CourseFactory(taught_by=[instructor]), 4)


@pytest.fixture
def evening(lessons):
    return lessons[2]


@pytest.fixture
def whisk(evening):
    figure = FigureFactory(level=evening.course.levels.get(), name="whisk")
    plan = PlanFactory(course=evening.course, status="published")
    PlanFigureFactory(plan=plan, figure=figure, new_in=evening)
    return figure


def address(lesson):
    return reverse("lessons:record", args=[lesson.pk])


def form(figure, *, submission=SENT, version="", note="", outcome="introduced"):
    return {
        "submission": str(submission),
        "version": version,
        "unnamed_guests": 0,
        "note": note,
        "figures": [figure.pk],
        f"figure-{figure.pk}-outcome": outcome,
        f"figure-{figure.pk}-went": "",
        f"figure-{figure.pk}-minutes_owed": "",
    }


def send(client, lesson, data):
    """As the device sends what it has kept."""
    return client.post(address(lesson), data, headers={"X-Freefoot-Device": "1"})


def test_the_same_sending_twice_changes_nothing(as_instructor, evening, whisk):
    first = send(as_instructor, evening, form(whisk, note="once"))
    second = send(as_instructor, evening, form(whisk, note="once"))
    assert first.json() == second.json() == {"goes_to": reverse("lessons:lesson", args=[evening.pk])}
    record = LessonRecord.objects.get()
    assert (record.note, record.version, RecordSubmission.objects.count()) == ("once", 1, 1)


def test_a_late_copy_does_not_undo_what_was_written_after_it(as_instructor, evening, whisk):
    send(as_instructor, evening, form(whisk, note="first"))
    as_instructor.post(address(evening), form(whisk, submission=AGAIN, version=1, note="put right"))
    assert "goes_to" in send(as_instructor, evening, form(whisk, note="first")).json()
    record = LessonRecord.objects.get()
    assert (record.note, record.version) == ("put right", 2)


def test_a_plain_form_without_an_identifier_is_written_as_before(as_instructor, evening, whisk):
    answer = as_instructor.post(address(evening), form(whisk, submission=""))
    assert answer.url == reverse("lessons:lesson", args=[evening.pk])
    assert (LessonRecord.objects.count(), RecordSubmission.objects.count()) == (1, 0)


def test_an_identifier_that_is_none_counts_as_a_plain_form(as_instructor, evening, whisk):
    as_instructor.post(address(evening), form(whisk, submission="not an identifier"))
    assert (LessonRecord.objects.count(), RecordSubmission.objects.count()) == (1, 0)


def test_what_somebody_else_recorded_first_is_said_and_stays(as_instructor, evening, whisk):
    RecordFactory(lesson=evening, note="theirs")
    said = send(as_instructor, evening, form(whisk, note="mine")).json()
    assert said["asks"].startswith("Somebody recorded this lesson while you had the page open.")
    assert LessonRecord.objects.get().note == "theirs"
    # Refused, it is not counted as sent: the same one may be looked at and written after all.
    assert not RecordSubmission.objects.exists()
    shown = as_instructor.post(address(evening), form(whisk, note="mine"))
    assert f'data-answers="{SENT}"' in shown.content.decode()


def test_what_cannot_be_is_said(as_instructor, lessons, evening, whisk):
    wrong = form(whisk) | {"unnamed_guests": "many"}
    assert "whole number" in send(as_instructor, evening, wrong).json()["asks"]
    ahead = send(as_instructor, lessons[3], form(whisk)).json()
    assert "Record it once it has been given." in ahead["asks"]
    assert not LessonRecord.objects.exists()


def test_an_identifier_belongs_to_one_lesson(as_instructor, lessons, evening, whisk):
    send(as_instructor, evening, form(whisk))
    said = send(as_instructor, lessons[1], form(whisk)).json()
    assert "This was sent for another lesson." in said["asks"]
    assert LessonRecord.objects.get().lesson == evening


def test_sending_asks_for_the_same_right_as_the_form(client, student, director, evening, whisk):
    client.force_login(student)
    assert send(client, evening, form(whisk)).status_code == 404
    client.logout()
    assert send(client, evening, form(whisk)).url.startswith("/sign-in/")
    assert not LessonRecord.objects.exists()


def test_a_device_learns_for_whom_it_sends_and_gets_a_token(client, instructor):
    assert client.get("/device/").json()["person"] is None
    client.force_login(instructor)
    answer = client.get("/device/")
    assert answer.json()["person"] == instructor.pk
    assert len(answer.json()["token"]) == 64
    assert "no-store" in answer["Cache-Control"]


def test_a_page_says_for_whom_it_is_and_whether_it_may_be_kept(as_instructor, instructor, evening):
    kept = as_instructor.get(reverse("lessons:lesson", args=[evening.pk]))
    assert (kept["X-Freefoot-Person"], kept["X-Freefoot-Keep"]) == (str(instructor.pk), "1")
    other = as_instructor.get(reverse("school:people"))
    assert other["X-Freefoot-Person"] == str(instructor.pk)
    assert not other.has_header("X-Freefoot-Keep")
    as_instructor.logout()
    assert not as_instructor.get("/sign-in/").has_header("X-Freefoot-Person")


def test_the_worker_answers_for_the_whole_site_and_names_files_that_are_there(client, school):
    answer = client.get("/service-worker.js")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Content-Type"].startswith("text/javascript")
    text = answer.content.decode()
    for name in ("lessons/live.js", "lessons/live-time.js", "curriculum/count-player.js", "school/base.css"):
        assert f'/static/{name}"' in text


def test_signing_out_tells_the_browser_to_forget(as_instructor):
    assert as_instructor.post("/sign-out/")["Clear-Site-Data"] == '"storage"'


def test_the_evening_before_last_is_recorded_late_all_the_same(as_instructor, evening, whisk, settings):
    settings.TODAY = (evening.date + dt.timedelta(days=9)).isoformat()
    assert "goes_to" in send(as_instructor, evening, form(whisk)).json()


def test_a_page_that_says_something_once_is_not_kept_to_say_it_again(as_instructor, evening):
    page = reverse("lessons:lesson", args=[evening.pk])
    assert as_instructor.get(page).has_header("X-Freefoot-Keep")
    session = as_instructor.session
    session["_messages"] = MessageEncoder().encode([Message(constants.SUCCESS, "Said once.")])
    session.save()
    shown = as_instructor.get(page)
    assert "Said once." in shown.content.decode()
    assert not shown.has_header("X-Freefoot-Keep")
    assert as_instructor.get(page).has_header("X-Freefoot-Keep")
