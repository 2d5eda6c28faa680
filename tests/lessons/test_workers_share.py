"""Several workers on one PostgreSQL share a term: no course is planned twice, killing one loses nothing."""

import signal
import subprocess
import sys

import psycopg
import pytest
from django.conf import settings as project
from django_tasks_db.models import DBTaskResult
from psycopg import sql

on_postgresql = pytest.mark.skipif(
    project.DATABASES["default"]["ENGINE"].endswith("sqlite3"),
    reason="an SQLite file has one writer; several workers are for PostgreSQL, where the suite runs as well",
)
DAY = {"FREEFOOT_DEMO": "1", "FREEFOOT_TODAY": "2026-03-04"}


@pytest.fixture
def started(a_database):
    """started("worker") begins `manage.py worker` as a process of its own; all are ended afterwards."""
    processes = []

    def start(*arguments):
        process = subprocess.Popen(
            [sys.executable, "manage.py", *arguments],
            cwd=project.BASE_DIR,
            env=a_database | DAY,
            stdout=subprocess.PIPE,
            text=True,
        )
        processes.append(process)
        return process

    yield start
    for process in processes:
        process.kill()
        process.wait()
        process.stdout.close()


@pytest.fixture
def worker(started):
    def start():
        process = started("worker")
        assert "is ready" in process.stdout.readline()
        return process

    return start


@pytest.fixture
def database(a_database):
    with psycopg.connect(a_database["DATABASE_URL"], autocommit=True) as connection:
        yield connection


def running(database, worker):
    """Runs that this worker has in hand."""
    rows = database.execute("SELECT id, worker FROM lessons_planrun WHERE status = 'running'").fetchall()
    return [run for run, name in rows if name.endswith(f"-{worker.pid}")]


def frozen_in_hand(database, worker, waiting):
    """Stop the worker as a machine that hangs would, in the middle of a run; return the run. It must be the
    only one: another could have planned everything before it is seen at anything."""
    while True:
        assert worker.poll() is None
        assert waiting.poll() is None, "all was planned before the worker was seen at it"
        if running(database, worker):
            worker.send_signal(signal.SIGSTOP)
            found = running(database, worker)
            if found and not in_the_middle_of_writing(database):
                return found[0]
            worker.send_signal(signal.SIGCONT)
        database.execute("SELECT pg_sleep(0.01)")


def in_the_middle_of_writing(database):
    """Whether somebody holds a transaction open: its locks would be kept for as long as a machine hangs."""
    others = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
    return database.execute(f"SELECT count(*) {others} AND xact_start IS NOT NULL").fetchone()[0] > 0


@on_postgresql
def test_two_share_the_school_and_a_third_takes_up_what_a_killed_one_left(
    with_the_demo, started, worker, database
):
    first = worker()
    waiting = started("plan_term", "--all", "--by-workers", "--seconds", "4")
    lost = frozen_in_hand(database, first, waiting)
    second = worker()
    first.kill()
    third = worker()
    said, _ = waiting.communicate(timeout=100)
    assert waiting.returncode == 0

    runs = database.execute("SELECT id, plan_id, status, attempt, worker FROM lessons_planrun").fetchall()
    assert said.count("\n") == len(runs) >= 6
    assert {status for _, _, status, _, _ in runs} == {"done"}
    assert len({plan for _, plan, _, _, _ in runs}) == len(runs), "no course is planned twice"
    assert {run: attempt for run, _, _, attempt, _ in runs if attempt > 1} == {lost: 2}
    messages = sql.SQL("SELECT args_kwargs FROM {} WHERE return_value = '\"ended\"'")
    ended = database.execute(messages.format(sql.Identifier(DBTaskResult._meta.db_table))).fetchall()
    assert len(ended) == len({str(message) for message in ended}), "no message was answered twice"
    by = {name.rsplit("-", 1)[-1] for *_, name in runs}
    assert by <= {str(process.pid) for process in (first, second, third)}
    assert str(second.pid) in by


@on_postgresql
def test_a_worker_that_hung_and_wakes_up_writes_over_nobody(with_the_demo, started, worker, database):
    first = worker()
    waiting = started("plan_term", "--all", "--by-workers", "--seconds", "2")
    hung = frozen_in_hand(database, first, waiting)
    second = worker()
    waiting.communicate(timeout=100)
    row = "SELECT attempt, worker, result::text FROM lessons_planrun WHERE id = %s"
    before = database.execute(row, [hung]).fetchone()
    first.send_signal(signal.SIGCONT)
    first.send_signal(signal.SIGTERM)
    assert first.wait(timeout=30) == 0
    assert database.execute(row, [hung]).fetchone() == before
    assert before[1].endswith(f"-{second.pid}")
