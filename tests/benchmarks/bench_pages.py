"""What each page costs, as a multiple of a control page in the same process, and its number of queries.

Run: python tests/benchmarks/bench_pages.py [--rounds 30] [--large]

The pages are those of the demo school, or with --large the lists of one with 100 courses and 2,000 students
(tests/benchmarks/large_school.py), in a database made for the purpose, asked for through the whole stack
of middleware but without a network. Each is asked for three times: "made", when it is not kept; "looked
through", when it is, and something was written that changes nothing in it, as most of what is written in an
evening changes nothing in a given page; and "again", when nothing was written (school/kept_pages.py). What is
wrong with a plan stays known all the while (lessons/courses/verdicts.py), as it does while other courses are
written. The control page is made each time. Every round asks for every page, so that a busy moment of the
machine falls on all of them alike; printed is the median of a page's times as a multiple of the control
page's.
"""

import argparse
import os
import statistics
import sys
from collections import defaultdict
from pathlib import Path
from time import perf_counter

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parents[1]))
os.environ |= {"DJANGO_SETTINGS_MODULE": "school.settings", "FREEFOOT_DEMO": "1"}
os.environ["FREEFOOT_TODAY"] = "2026-03-04"

import django  # noqa: E402
from django.conf import settings  # noqa: E402

# Without collected files there is no manifest of hashed names.
settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
settings.TEMPLATES[0]["DIRS"].append(HERE / "templates")
settings.ROOT_URLCONF = "tests.benchmarks.control_urls"
django.setup()

from django.core.cache import caches  # noqa: E402
from django.db import connection  # noqa: E402
from django.db.models import F  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.urls import reverse  # noqa: E402

from curriculum.models import Dance, Figure, Routine  # noqa: E402
from lessons.demo.load import load_demo_school  # noqa: E402
from lessons.models import Course, LessonSession, RecordedFigure, TermPlan  # noqa: E402
from school.clock import today  # noqa: E402
from school.models import Person, Role  # noqa: E402
from tests.benchmarks.large_school import load_large_school  # noqa: E402

Asked = list[tuple[str, str]]
"""(who asks, address) of each page; the first is the control page."""


def pages() -> Asked:
    """Every page a reader comes to often."""
    course = Course.objects.get(key="WB1", term__first_day__lte=today(), term__last_day__gte=today())
    plan = TermPlan.objects.get(course=course, status="published")
    tonight = LessonSession.objects.given().filter(date=today()).in_order()[0]
    figure = Figure.objects.get(name="natural turn")
    student = Person.objects.get(username="student")
    own = Course.objects.for_user(student).filter(term=course.term)[0]
    director = ["lessons:home", "lessons:term", "curriculum:dances", "school:people"]
    return [
        ("director", reverse("control")),
        *(("director", reverse(name)) for name in director),
        ("director", reverse("school:person", args=[student.pk])),
        ("director", reverse("lessons:course", args=[course.pk])),
        ("director", reverse("lessons:plan", args=[plan.pk])),
        ("director", reverse("curriculum:dance", args=[Dance.objects.get(name="waltz").pk])),
        ("director", reverse("curriculum:figure", args=[figure.pk])),
        ("director", reverse("curriculum:routine", args=[Routine.objects.get(level=figure.level).pk])),
        ("director", reverse("lessons:lesson", args=[tonight.pk])),
        ("director", reverse("lessons:record", args=[tonight.pk])),
        ("instructor", reverse("lessons:home")),
        ("student", reverse("lessons:home")),
        ("student", reverse("lessons:my-level-course", args=[own.pk])),
    ]


def lists() -> Asked:
    """Every page that lists people or courses, today's, and what one person has of one."""
    course = Course.objects.get(key="WB1-004")
    student = course.enrolments.filter(waiting=False).order_by("pk")[0].person
    tonight = LessonSession.objects.given().filter(date=today(), course__key__contains="-").in_order()[0]
    instructor = tonight.course.courseinstructor_set.all()[0].person
    people, term = reverse("school:people"), course.term_id
    return [
        ("director", reverse("control")),
        ("director", people),
        ("director", f"{people}?role=student&page=20"),
        ("director", f"{people}?q=dunmore"),
        ("director", f"{people}?q=dunmroe"),
        ("director", reverse("lessons:term")),
        ("director", reverse("lessons:school-plan", args=[term])),
        ("director", reverse("lessons:ready-school")),
        ("director", reverse("lessons:teachers")),
        ("director", reverse("lessons:private-lessons")),
        ("director", reverse("lessons:lesson-give", args=[tonight.pk])),
        ("director", reverse("lessons:home")),
        ("director", reverse("lessons:course", args=[course.pk])),
        ("director", reverse("lessons:sign-offs", args=[course.pk])),
        ("director", reverse("school:person", args=[student.pk])),
        (instructor.username, reverse("lessons:home")),
        (instructor.username, reverse("lessons:lesson", args=[tonight.pk])),
        (instructor.username, reverse("lessons:record", args=[tonight.pk])),
        (student.username, reverse("lessons:home")),
        (student.username, reverse("lessons:my-level-course", args=[course.pk])),
        (student.username, reverse("lessons:missed", args=[course.pk])),
        (student.username, reverse("lessons:ready", args=[course.pk])),
    ]


def ask(client: Client, address: str) -> float:
    """Milliseconds until the page is there."""
    start = perf_counter()
    answer = client.get(address)
    took = (perf_counter() - start) * 1000
    if answer.status_code != 200:
        sys.exit(f"{address} answered {answer.status_code}")
    return took


def forget() -> None:
    """So that every page has to be made."""
    caches["pages"].clear()


def write_something() -> None:
    """To tables of which one is part of every page: each has to be looked through."""
    Person.objects.update(email=F("email"))
    Figure.objects.update(notes=F("notes"))
    Course.objects.update(name=F("name"))
    RecordedFigure.objects.update(outcome=F("outcome"))


def nothing() -> None:
    """So that every page is as it was."""


WAYS = {"made": forget, "looked through": write_something, "again": nothing}


def queries_of(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        ask(client, address)
    return len(seen)


def measure(rounds: int, *, large: bool) -> None:
    began = perf_counter()
    if large:
        load_large_school()
    else:
        load_demo_school(today=today())
    courses, students = Course.objects.count(), Person.objects.with_role(Role.STUDENT).count()
    print(f"{courses} courses and {students} students, made in {perf_counter() - began:.1f} s")
    asked = lists() if large else pages()
    clients = {who: Client(SERVER_NAME="localhost") for who, _ in asked}
    for who, client in clients.items():
        client.force_login(Person.objects.get(username=who))
    queries: dict[tuple[str, str, str], int] = {}
    times: dict[tuple[str, str, str], list[float]] = defaultdict(list)
    for who, address in asked:
        # Once for what is made at the first opening only: templates, the patterns of addresses.
        ask(clients[who], address)
        for way, prepare in WAYS.items():
            prepare()
            queries[who, address, way] = queries_of(clients[who], address)
    for _ in range(rounds):
        for who, address in asked:
            for way, prepare in WAYS.items():
                prepare()
                times[who, address, way].append(ask(clients[who], address))
    control = statistics.median(took for way in WAYS for took in times[(*asked[0], way)])
    print(f"{connection.vendor}, {rounds} rounds; the control page took {control:.2f} ms")
    print(f"{'':48}" + "".join(f"{way:>15} queries" for way in WAYS))
    for who, address in asked:
        costs = (
            f"{statistics.median(times[who, address, way]) / control:13.1f} x {queries[who, address, way]:7}"
            for way in WAYS
        )
        print(f"{who:<11} {address:<36}" + "".join(costs))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=30)
    parser.add_argument("--large", action="store_true", help="lists of 2,000 students and 100 courses")
    given = parser.parse_args()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    made = runner.setup_databases()
    try:
        measure(given.rounds, large=given.large)
    finally:
        runner.teardown_databases(made)
