"""How quickly the director's register answers: run `python tests/benchmarks/bench_board.py [--rounds 20]`.

A draft of 60 figures x 16 lessons, generated as for the term planner (`generated_terms.py`) and planned by a
short search. Measured is the server's time, through the whole stack of middleware but without a network: the
page of the register, what every lesson says to a mark that is held, the answer to a mark put down (New and
Again), and taking it back. To reach: 100 ms for the answer to a drop, on
a machine with nothing else to do; on a busy one the multiple of the control page says more.
"""

import argparse
import datetime as dt
import os
import statistics
import sys
from pathlib import Path
from time import perf_counter

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parents[1]))
os.environ |= {"DJANGO_SETTINGS_MODULE": "school.settings", "FREEFOOT_DEMO": "1"}
os.environ["FREEFOOT_TODAY"] = "2026-01-05"

import django  # noqa: E402
from django.conf import settings  # noqa: E402

settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
settings.TEMPLATES[0]["DIRS"].append(HERE / "templates")
settings.ROOT_URLCONF = "tests.benchmarks.control_urls"
django.setup()

from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.runner import DiscoverRunner  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.urls import reverse  # noqa: E402

from lessons.models import TermPlan  # noqa: E402
from lessons.planners.term import plan_term  # noqa: E402
from lessons.problems import course_problem, write_placements  # noqa: E402
from tests.benchmarks.generated_terms import FIXED_MINUTES, generated_term  # noqa: E402
from tests.factories import (  # noqa: E402
    CourseFactory,
    FigureFactory,
    LessonShapeFactory,
    LevelFactory,
    PersonFactory,
    PlanFactory,
    PlanFigureFactory,
    SchoolFactory,
    TermFactory,
    weekly_lessons,
)

FIGURES, LESSONS, MINUTES = 60, 16, 90
HTMX = {"HTTP_HX_REQUEST": "true"}


def full_draft() -> TermPlan:
    """The rows of a generated term, with the plan that a search of a few seconds finds."""
    term = generated_term(FIGURES, LESSONS, MINUTES, seed=1)
    level = LevelFactory(most_new=3)
    room = MINUTES - FIXED_MINUTES
    shape = LessonShapeFactory(segments=[("warm_up", 15, 15, 15), ("new", room, room, room)])
    last = dt.date(2026, 1, 5) + dt.timedelta(weeks=LESSONS)
    course = CourseFactory(level=level, shape=shape, most_new=5, term=TermFactory(last_day=last))
    weekly_lessons(course, LESSONS, minutes=MINUTES)
    plan = PlanFactory(course=course)
    made = {}
    for figure in term.figures:
        made[figure.key] = FigureFactory(
            level=level,
            name=figure.key,
            minutes_to_introduce=figure.minutes,
            minutes_to_review=figure.review_minutes,
            needs=[made[need] for need in sorted(figure.needs)],
        )
        PlanFigureFactory(
            plan=plan, figure=made[figure.key], importance=figure.importance, required=figure.required
        )
    problem = course_problem(plan)
    found = plan_term(problem.problem, seconds=5)
    write_placements(problem, found.introductions, found.reviews)
    return plan


class Board:
    """A director at the register."""

    def __init__(self, plan: TermPlan) -> None:
        self.plan = plan
        self.client = Client(SERVER_NAME="localhost")
        self.client.force_login(PersonFactory(roles=["director"]))
        self.lessons = list(plan.course.lessons.in_order())
        placed = plan.figures.filter(introductions__isnull=False).distinct()
        self.rows = list(placed.prefetch_related("introductions", "reviews"))
        self.turn = 0

    @property
    def version(self) -> int:
        return TermPlan.objects.values_list("version", flat=True).get(pk=self.plan.pk)

    def timed(self, method: str, name: str, *more: int, **data: object) -> float:
        """Milliseconds until the answer is there."""
        address = reverse(f"lessons:{name}", args=[self.plan.pk, *more])
        ask = getattr(self.client, method)
        data = {key: value for key, value in data.items() if value is not None}
        started = perf_counter()
        answer = ask(address, data, **HTMX)
        took = (perf_counter() - started) * 1000
        if answer.status_code != 200:
            sys.exit(f"{address} answered {answer.status_code}")
        return took

    def round(self) -> dict[str, float]:
        """Each thing once, with another figure every time."""
        row = self.rows[self.turn % len(self.rows)]
        self.turn += 1
        figure, new = row.figure_id, row.introductions.all()[0].lesson_id
        target = self.lessons[self.turn % (LESSONS - 1)].pk
        took = {"the register": self.page()}
        took["every lesson answers, New"] = self.timed(
            "get", "plan-places", figure, version=self.version, kind="new"
        )
        move = {"figure": figure, "kind": "new", "origin": new, "target": target}
        took["New is put down"] = self.timed("post", "plan-move", version=self.version, **move)
        took["it is taken back"] = self.timed(
            "post", "plan-take-back", version=self.version, step=self.plan.steps.first().pk
        )
        again = row.reviews.all()
        if again:
            origin = again[0].lesson_id
            took["every lesson answers, Again"] = self.timed(
                "get", "plan-places", figure, version=self.version, kind="again", origin=origin
            )
            move = {"figure": figure, "kind": "again", "origin": origin, "target": self.lessons[-1].pk}
            took["Again is put down"] = self.timed("post", "plan-move", version=self.version, **move)
            self.timed("post", "plan-take-back", version=self.version, step=self.plan.steps.first().pk)
        return took

    def page(self) -> float:
        # The same page asked for again is kept; what is measured is one that must be made.
        TermPlan.objects.filter(pk=self.plan.pk).update(name=f"Draft {self.turn}")
        return self.timed("get", "plan")


def control(client: Client) -> float:
    started = perf_counter()
    client.get(reverse("control"))
    return (perf_counter() - started) * 1000


def measure(rounds: int) -> None:
    SchoolFactory()
    board = Board(full_draft())
    board.round()
    times: dict[str, list[float]] = {}
    controls = []
    for _ in range(rounds):
        controls.append(control(board.client))
        for what, took in board.round().items():
            times.setdefault(what, []).append(took)
    base = statistics.median(controls)
    row = board.rows[0]
    move = {"figure": row.figure_id, "kind": "new", "origin": row.introductions.all()[0].lesson_id}
    with CaptureQueriesContext(connection) as seen:
        board.timed("post", "plan-move", version=board.version, target=board.lessons[3].pk, **move)
    print(
        f"{connection.vendor}, {FIGURES} figures x {LESSONS} lessons, {rounds} rounds; control {base:.2f} ms"
    )
    for what, took in times.items():
        worst = sorted(took)[int(len(took) * 0.95)]
        median = statistics.median(took)
        print(f"{what:<28} {median:6.1f} ms (95 % {worst:.1f}), {median / base:4.1f} x control")
    print(f"a drop takes {len(seen)} queries")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=20)
    given = parser.parse_args()
    runner = DiscoverRunner(verbosity=0, interactive=False)
    made = runner.setup_databases()
    try:
        measure(given.rounds)
    finally:
        runner.teardown_databases(made)
