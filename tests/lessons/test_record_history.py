"""A record can be changed later; what it said before stays readable."""

import pytest
from django.urls import reverse

from lessons.models import Attendance, LessonRecord, RecordVersion
from lessons.records.past import past_versions
from school.models import Person
from tests.factories import (
    CourseFactory,
    FigureFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)


@pytest.fixture(autouse=True)
def the_day_after(settings, school):
    settings.TODAY = "2026-01-21"


@pytest.fixture
def evening(instructor):
    return weekly_lessons(CourseFactory(taught_by=[instructor]), 4)[2]


@pytest.fixture
def whisk(evening):
    return FigureFactory(level=evening.course.levels.get(), name="whisk")


@pytest.fixture
def record(evening, whisk, director):
    record = RecordFactory(
        lesson=evening, taught={whisk: "introduced"}, note="as it was", recorded_by=director, unnamed_guests=2
    )
    Attendance.objects.create(record=record, person=PersonFactory(name="Piet Lammas"), role="L")
    return record


def address(lesson):
    return reverse("lessons:record", args=[lesson.pk])


def change(client, lesson, figure, *, version, note, outcome="finish_later"):
    data = {
        "version": version,
        "unnamed_guests": 0,
        "note": note,
        "figures": [figure.pk],
        f"figure-{figure.pk}-outcome": outcome,
        f"figure-{figure.pk}-went": "",
        f"figure-{figure.pk}-minutes_owed": "",
    }
    assert client.post(address(lesson), data).status_code == 302


def test_what_stood_before_is_kept_whole(as_instructor, evening, record, whisk):
    written = record.recorded_at
    change(as_instructor, evening, whisk, version=1, note="put right")
    record.refresh_from_db()
    assert (record.version, record.note) == (2, "put right")
    (past,) = past_versions(record)
    assert (past.version, past.by, past.at, past.note) == (1, "Hester Quayle", written, "as it was")
    assert (past.present, past.unnamed_guests) == (("Piet Lammas",), 2)
    assert [(row.name, row.outcome, row.went) for row in past.figures] == [("whisk", "introduced", "")]


def test_every_change_is_kept_newest_first(as_instructor, evening, record, whisk):
    for version, note in enumerate(("second", "third"), start=1):
        change(as_instructor, evening, whisk, version=version, note=note)
    record.refresh_from_db()
    assert [(past.version, past.note) for past in past_versions(record)] == [(2, "second"), (1, "as it was")]


def test_the_page_shows_earlier_versions_folded(as_instructor, evening, record, whisk):
    assert "Earlier versions" not in as_instructor.get(address(evening)).content.decode()
    change(as_instructor, evening, whisk, version=1, note="put right")
    text = as_instructor.get(address(evening)).content.decode()
    assert "Earlier versions (1)" in text
    assert "Hester Quayle" in text
    assert "as it was" in text
    assert "There: Piet Lammas. Guests without a name: 2." in text


def test_a_writer_who_came_second_leaves_no_version(as_instructor, evening, record, whisk):
    data = {"version": 9, "unnamed_guests": 0, "note": "", "figures": [whisk.pk]}
    data |= {f"figure-{whisk.pk}-outcome": "introduced", f"figure-{whisk.pk}-went": ""}
    as_instructor.post(address(evening), data)
    assert LessonRecord.objects.get().version == 1
    assert not RecordVersion.objects.exists()


def test_people_are_kept_by_key_so_that_a_name_put_right_is_right_here_too(
    as_instructor, evening, record, whisk
):
    change(as_instructor, evening, whisk, version=1, note="")
    guest = Person.objects.get(name="Piet Lammas")
    assert "Piet" not in str(RecordVersion.objects.get().said)
    guest.name = "Piet Lammas-Orme"
    guest.save()
    record.refresh_from_db()
    assert past_versions(record)[0].present == ("Piet Lammas-Orme",)
    guest.delete()
    assert past_versions(record)[0].present == ("somebody who has left",)


def test_went_as_planned_is_offered_once_and_only_where_something_was_planned(as_instructor, evening, whisk):
    offer = 'name="as_planned"'
    assert offer not in as_instructor.get(address(evening)).content.decode()
    plan = PlanFactory(course=evening.course, status="published")
    PlanFigureFactory(plan=plan, figure=whisk, new_in=evening)
    assert offer in as_instructor.get(address(evening)).content.decode()
    data = {"as_planned": "1", "unnamed_guests": 0, "note": "", "figures": [whisk.pk]}
    data |= {f"figure-{whisk.pk}-outcome": "introduced", f"figure-{whisk.pk}-went": ""}
    page = as_instructor.post(address(evening), data, follow=True)
    assert "Recorded as planned. If something went otherwise, change the record." in page.content.decode()
    assert offer not in as_instructor.get(address(evening)).content.decode()


@pytest.mark.parametrize("versions", [2, 5])
def test_history_costs_the_same_however_long(
    as_instructor, evening, record, whisk, versions, django_assert_num_queries
):
    for version in range(1, versions):
        change(as_instructor, evening, whisk, version=version, note=str(version))
    record.refresh_from_db()
    with django_assert_num_queries(2):
        past_versions(record)
