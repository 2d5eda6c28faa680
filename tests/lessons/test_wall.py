"""A course's page for the wall: the syllabus and what was taught, without a name, by a secret address."""

import datetime as dt
import re

import pytest
import segno
from django.urls import reverse

from lessons.models import Attendance, WallAddress
from school.qr import qr_code
from tests.factories import (
    CourseFactory,
    EnrolmentFactory,
    FigureFactory,
    LevelFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    RecordFactory,
    wall_address,
    weekly_lessons,
)


@pytest.fixture(autouse=True)
def second_week(settings, school):
    settings.TODAY = "2026-01-14"


@pytest.fixture
def course(instructor):
    return CourseFactory(level=LevelFactory(rank=2, name="Improvers"), name="Waltz", taught_by=[instructor])


@pytest.fixture
def address(course):
    return wall_address(course, "on the wall")


def read(client, secret="on the wall"):
    return client.get(reverse("lessons:wall", args=[secret]))


def make(client, course, **sent):
    return client.post(reverse("lessons:course-wall", args=[course.pk]), sent, follow=True)


def test_it_shows_what_was_taught_with_its_day_and_the_rest_of_the_level(client, course, address):
    level = course.levels.get()
    whisk, lock, brought = (FigureFactory(level=level, name=name) for name in ("whisk", "lock", "hover"))
    FigureFactory(level=LevelFactory(dance=level.dance, rank=1), name="box step")
    FigureFactory(level=LevelFactory(dance=level.dance, rank=3), name="telemark")
    course.taught_before.create(figure=brought)
    RecordFactory(lesson=weekly_lessons(course, 2)[0], taught={whisk: "introduced", lock: "finish_later"})
    answer = read(client)
    page, text = answer.context["page"], answer.content.decode()
    assert page.taught == (("whisk", dt.date(2026, 1, 6)),)
    assert (page.known, page.to_come) == (("hover",), ("lock",))
    assert "6 January" in text
    assert "telemark" not in text


def test_it_says_no_name_no_time_no_room_and_nothing_of_the_plan(
    client, course, address, student, instructor
):
    whisk = FigureFactory(level=course.levels.get(), name="whisk")
    lessons = weekly_lessons(course, 3)
    PlanFigureFactory(plan=PlanFactory(course=course, status="published"), figure=whisk, new_in=lessons[2])
    record = RecordFactory(lesson=lessons[0], note="Lark was late", recorded_by=instructor)
    Attendance.objects.create(record=record, person=student, role="F")
    EnrolmentFactory(course=course, person=student)
    text = read(client).content.decode()
    for secret in (
        *student.name.split(),
        *instructor.name.split(),
        "19:30",
        "20 January",
        lessons[0].room.name,
    ):
        assert secret not in text, secret


def test_nobody_needs_to_sign_in_and_no_session_begins(client, course, address):
    answer = read(client)
    assert answer.status_code == 200
    assert not answer.cookies
    assert "no-store" in answer["Cache-Control"]


def test_it_ends_with_the_term_unless_it_was_made_to_stay(client, course, address, settings):
    wall_address(course, "stays", ends_with_term=False)
    settings.TODAY = course.term.last_day.isoformat()
    assert read(client).status_code == 200
    settings.TODAY = (course.term.last_day + dt.timedelta(days=1)).isoformat()
    assert read(client).status_code == 404
    assert read(client, "stays").status_code == 200


def test_withdrawn_it_opens_nothing_and_says_no_more_than_one_that_never_was(
    client, as_director, course, address
):
    as_director.post(reverse("lessons:course-wall-withdraw", args=[course.pk, address.pk]))
    client.logout()
    said = []
    for secret in ("on the wall", "never was"):
        answer = read(client, secret)
        assert answer.status_code == 404
        said.append(re.sub(rb'X-CSRFToken": "[^"]*', b"", answer.content))
    assert said[0] == said[1]


def test_an_address_is_withdrawn_on_the_page_of_its_own_course_only(as_director, course, address):
    other = CourseFactory()
    gone = as_director.post(reverse("lessons:course-wall-withdraw", args=[other.pk, address.pk]))
    assert gone.status_code == 404
    address.refresh_from_db()
    assert address.withdrawn_at is None


def test_the_director_makes_one_and_sees_it_once(as_director, client, course):
    answer = make(as_director, course, ends_with_term="on")
    address = answer.context["address"]
    assert address in answer.content.decode()
    again = as_director.get(reverse("lessons:course-wall", args=[course.pk])).content.decode()
    assert address not in again
    assert "Withdraw" in again
    kept = WallAddress.objects.get()
    assert kept.ends_with_term
    assert address.rsplit("/", 2)[1] not in kept.secret_hash
    client.logout()
    assert client.get(address).status_code == 200


def test_one_that_would_end_before_it_begins_is_refused_with_a_sentence(as_director, course, settings):
    settings.TODAY = (course.term.last_day + dt.timedelta(days=1)).isoformat()
    assert "would open nothing" in make(as_director, course, ends_with_term="on").content.decode()
    assert not WallAddress.objects.exists()
    assert make(as_director, course).context["address"]


def test_the_square_holds_the_address_dot_for_dot():
    """Drawn anew from the SVG and compared with the symbol as ISO/IEC 18004 has it made by segno."""
    address = "https://plan.example.org/wall/abcdefghijklmnopqrstuvwxyz-0123456789_ABCDEFGH/"
    picture = str(qr_code(address))
    wanted = [list(row) for row in segno.make(address, error="q", micro=False).matrix]
    drawn = [[0] * len(wanted) for _ in wanted]
    x = y = 0.0
    (path,) = re.findall(r'<path[^>]* d="([^"]+)"[^>]*stroke|stroke[^>]* d="([^"]+)"', picture)
    for command, numbers in re.findall(r"([Mmh])([-\d. ]+)", "".join(path)):
        steps = [float(number) for number in numbers.split()]
        if command == "M":
            x, y = steps
        elif command == "m":
            x, y = x + steps[0], y + steps[1]
        else:
            for place in range(int(steps[0])):
                drawn[int(y - 0.5) - 4][int(x) + place - 4] = 1
            x += steps[0]
    assert drawn == wanted
    assert "style=" not in picture


@pytest.mark.parametrize("size", [2, 9])
def test_it_costs_the_same_however_much_was_taught(client, course, address, size, django_assert_num_queries):
    for lesson in weekly_lessons(course, size):
        RecordFactory(lesson=lesson, taught={FigureFactory(level=course.levels.get()): "introduced"})
        EnrolmentFactory(course=course, person=PersonFactory())
    with django_assert_num_queries(9):
        read(client)


@pytest.mark.parametrize("size", [1, 6])
def test_the_directors_page_costs_the_same_for_any_number_of_addresses(
    as_director, director, course, size, django_assert_num_queries
):
    for number in range(size):
        WallAddress.objects.filter(pk=wall_address(course, f"secret {number}").pk).update(made_by=director)
    with django_assert_num_queries(9):
        as_director.get(reverse("lessons:course-wall", args=[course.pk]))
