"""How the time to plan a school falls with the number of workers, each with one thread of the solver.

Run: .ci/with-postgresql .venv/bin/python tests/benchmarks/bench_workers.py [--courses 40] [--workers 1 2 4]

A school of generated courses (tests/benchmarks/bench_term.py: 20 figures in 12 lessons of 60 minutes, seeded)
in a new database on the PostgreSQL server of DATABASE_URL. For each number of workers that many `manage.py
worker --threads 1` are started, the whole school is planned, and the time from the word to the last result is
printed, with the statuses, what each worker did, and the mean of the first aim and its bound.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
import uuid
from collections import Counter
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(ROOT), str(HERE)]
SIZE = (20, 12, 60)


def new_database() -> str:
    """A database of our own on the server that DATABASE_URL names; its address."""
    import psycopg

    server = os.environ.get("DATABASE_URL", "")
    if not server:
        sys.exit("Several workers share a PostgreSQL: run this with .ci/with-postgresql.")
    name = f"bench_{uuid.uuid4().hex}"
    parts = urlsplit(server)
    with psycopg.connect(urlunsplit(parts._replace(path="/postgres")), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return urlunsplit(parts._replace(path=f"/{name}"))


def make_school(courses: int) -> None:
    """`courses` courses of the kind of `generated_term`, each on a dance of its own, with nothing planned."""
    from bench_term import generated_term

    from curriculum.models import Prerequisite
    from lessons.models import PlanFigure, TermPlan
    from tests.factories import (
        CourseFactory,
        DanceFactory,
        FigureFactory,
        LessonShapeFactory,
        LevelFactory,
        TermFactory,
        weekly_lessons,
    )

    figures, lessons, minutes = SIZE
    term = TermFactory()
    # The generated terms have 15 of 60 minutes fixed.
    shape = LessonShapeFactory(segments=[("practice", 15, 15, 15)])
    for number in range(courses):
        dance = DanceFactory(name=f"dance {number}")
        level = LevelFactory(dance=dance, rank=1, most_new=3)
        course = CourseFactory(term=term, key=f"B{number}", level=level, shape=shape)
        weekly_lessons(course, lessons, minutes=minutes)
        plan = TermPlan.objects.create(course=course, name="Draft")
        made = {}
        for asked in generated_term(figures, lessons, minutes, number + 1).figures:
            made[asked.key] = FigureFactory(
                level=level,
                name=asked.key,
                order=asked.order,
                minutes_to_introduce=asked.minutes,
                minutes_to_review=asked.review_minutes,
            )
            PlanFigure.objects.create(
                plan=plan, figure=made[asked.key], required=False, importance=asked.importance
            )
            Prerequisite.objects.bulk_create(
                Prerequisite(figure=made[asked.key], needs=made[need]) for need in asked.needs
            )


def planned_by(workers: int) -> float:
    """Seconds in which that many workers plan the school; prints what came of it."""
    from lessons.actions.school_runs import plan_the_school
    from lessons.models import PlanRun, SchoolRun
    from school.models import Term

    PlanRun.objects.all().delete()
    SchoolRun.objects.all().delete()
    command = [sys.executable, "manage.py", "worker", "--threads", "1"]
    crew = [
        subprocess.Popen(command, cwd=ROOT, env=dict(os.environ), stdout=subprocess.PIPE, text=True)
        for _ in range(workers)
    ]
    try:
        for worker in crew:
            if worker.stdout is None or "is ready" not in worker.stdout.readline():
                sys.exit("A worker did not start.")
        began = time.perf_counter()
        school_run = plan_the_school(term=Term.objects.get(), by=None)
        while school_run.runs.filter(status__in=["waiting", "running"]).exists():
            time.sleep(0.25)
        took = time.perf_counter() - began
    finally:
        for worker in crew:
            worker.terminate()
        for worker in crew:
            worker.wait(timeout=30)
    runs = list(school_run.runs.all())
    statuses = Counter(run.result["status"] if run.result else run.status for run in runs)
    shares = sorted(Counter(run.worker for run in runs).values())
    first = [run.result["aims"][0] for run in runs if run.has_plan]
    value, bound = (sum(aim[place] for aim in first) / len(first) for place in (1, 2))
    print(
        f"{workers} worker{'' if workers == 1 else 's'}: {took:6.1f} s for {len(runs)} courses, "
        f"{dict(statuses)}, shares {shares}, {first[0][0]} {value:.1f} (bound {bound:.1f}) on average",
        flush=True,
    )
    return took


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--courses", type=int, default=40)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2, 4])
    arguments = parser.parse_args()
    os.environ["DATABASE_URL"] = new_database()
    os.environ |= {"DJANGO_SETTINGS_MODULE": "school.settings", "FREEFOOT_DEMO": "1"}
    os.environ["FREEFOOT_TODAY"] = "2026-01-01"

    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    make_school(arguments.courses)
    figures, lessons, minutes = SIZE
    print(f"{arguments.courses} courses of {figures} figures in {lessons} lessons of {minutes} minutes")
    times = {workers: planned_by(workers) for workers in arguments.workers}
    slowest = times[arguments.workers[0]]
    print("  ".join(f"{workers}: {slowest / took:.2f} times as fast" for workers, took in times.items()))


if __name__ == "__main__":
    main()
