"""The live page as the server makes it: the evening in order, by the wall clock, for scripts and without."""

import datetime as dt
import json
import re
import zoneinfo

import pytest
from django.urls import reverse

from curriculum.models import Caution
from tests.factories import (
    CourseFactory,
    FigureFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    weekly_lessons,
)

TONIGHT = dt.date(2026, 1, 20)


@pytest.fixture(autouse=True)
def third_week(settings, school):
    settings.TODAY = TONIGHT.isoformat()


def address(lesson):
    return reverse("lessons:live", args=[lesson.pk])


def plan_in(text):
    return json.loads(re.search(r'<script id="live-plan"[^>]*>(.*?)</script>', text).group(1))


def test_the_evening_stands_in_order_with_times_and_adds_up(as_instructor, tonight, whisk):
    answer = as_instructor.get(address(tonight))
    text = answer.content.decode()
    plan = plan_in(text)
    assert sum(segment["minutes"] for segment in plan["segments"]) == tonight.minutes
    assert [row["title"] for row in plan["segments"] if row["kind"] == "new"] == ["whisk"]
    shown = re.findall(r"<time>(\d\d:\d\d)</time>", text)
    starts = [f"{row.starts:%H:%M}" for row in answer.context["sheet"].rows]
    assert shown == starts
    assert shown[0] == f"{tonight.start:%H:%M}"


def test_it_begins_by_the_schools_own_clock(as_instructor, tonight):
    plan = plan_in(as_instructor.get(address(tonight)).content.decode())
    local = dt.datetime.combine(tonight.date, tonight.start, tzinfo=zoneinfo.ZoneInfo("Europe/London"))
    assert (plan["starts"], plan["zone"]) == (local.timestamp() * 1000, "Europe/London")


def test_in_summer_time_it_begins_at_the_same_hour(as_instructor, tonight, settings):
    settings.TODAY = "2026-06-16"
    tonight.date = dt.date(2026, 6, 16)
    tonight.save()
    plan = plan_in(as_instructor.get(address(tonight)).content.decode())
    begins = dt.datetime.fromtimestamp(plan["starts"] / 1000, tz=dt.UTC)
    assert (begins + dt.timedelta(hours=1)).time() == tonight.start


def test_every_segment_says_how_far_it_may_give(as_instructor, tonight, whisk):
    plan = plan_in(as_instructor.get(address(tonight)).content.decode())
    assert all(row["least"] <= row["minutes"] <= row["most"] for row in plan["segments"])


def test_cautions_stand_beside_their_figure(as_instructor, tonight, whisk):
    Caution.objects.create(figure=whisk, text="Mind the free arm.")
    assert "Take care: Mind the free arm." in as_instructor.get(address(tonight)).content.decode()


def test_a_page_that_makes_no_sound_has_nothing_to_make_it_with(as_instructor, tonight, whisk):
    text = as_instructor.get(address(tonight)).content.decode()
    assert not re.search(r"<(audio|video|iframe|embed)\b", text)


def test_a_cancelled_lesson_says_so(as_instructor, tonight):
    tonight.cancelled_at = dt.datetime(2026, 1, 19, 12, tzinfo=dt.UTC)
    tonight.cancelled_because = "the boiler"
    tonight.save()
    text = as_instructor.get(address(tonight)).content.decode()
    assert "No class on" in text
    assert "the boiler" in text
    assert "live-plan" not in text


def test_an_evening_that_is_written_up_runs_no_more(as_instructor, tonight, whisk):
    RecordFactory(lesson=tonight, taught={whisk: "introduced"})
    text = as_instructor.get(address(tonight)).content.decode()
    assert "is written up: nothing runs here any more." in text
    assert "Begin now" not in text
    assert "data-live" not in text


def test_a_lesson_of_five_minutes_still_has_a_page(as_instructor, tonight, whisk):
    tonight.minutes = 5
    tonight.save()
    plan = plan_in(as_instructor.get(address(tonight)).content.decode())
    assert sum(segment["minutes"] for segment in plan["segments"]) == 5


def test_staff_read_it_and_nobody_else(client, student, outsider, director, tonight):
    for person, status in ((director, 200), (student, 404), (outsider, 404)):
        client.force_login(person)
        assert client.get(address(tonight)).status_code == status
    assert client.post(address(tonight)).status_code in {403, 404}


def test_the_record_is_offered_only_to_those_who_write_it(client, director, instructor, tonight):
    other = weekly_lessons(CourseFactory(), 4)[2]
    client.force_login(instructor)
    assert reverse("lessons:record", args=[other.pk]) not in client.get(address(other)).content.decode()
    assert reverse("lessons:record", args=[tonight.pk]) in client.get(address(tonight)).content.decode()


@pytest.mark.parametrize("size", [2, 8])
def test_it_costs_no_more_queries_than_the_run_sheet(
    as_instructor, tonight, size, django_assert_max_num_queries
):
    plan = PlanFactory(course=tonight.course, status="published")
    for _ in range(size):
        figure = FigureFactory(level=tonight.course.levels.get())
        PlanFigureFactory(plan=plan, figure=figure, new_in=tonight)
    with django_assert_max_num_queries(28):
        as_instructor.get(address(tonight))
