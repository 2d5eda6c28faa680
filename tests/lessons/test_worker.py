"""A worker: what it does beside the search, its signs of life, what it sweeps and prunes, how it ends."""

import datetime as dt
import signal
import subprocess
import sys
import threading
import time

import pytest
from django.conf import settings as project
from django.db import OperationalError
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from lessons.actions.plans import start_run, stop_run
from lessons.management.commands.worker import watch_once
from lessons.models import WorkerSign
from lessons.planners.term import Aim, Progress, TermPlan
from lessons.runs import run_rows, signs
from lessons.runs.jobs import job_of
from lessons.tasks import Search, Watch
from tests.lessons.machine import machine_watched
from tests.lessons.planned import planned
from tests.lessons.run_rows import messages, now_is

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("before_the_term")]

SILENT = dt.timedelta(seconds=16)


@pytest.fixture
def run(director):
    """A run that waits, of a draft with one figure."""
    made = planned(figures={"basic": None}, recorded=False)
    return start_run(plan=made.plan, seconds=5, by=director)


class FakeSearch:
    def __init__(self):
        self.progress = {}
        self.stopped = False

    def stop(self):
        self.stopped = True


class TestWatching:
    """What stands beside the search looks every second; `now` is given, so no test waits."""

    @pytest.fixture
    def search(self):
        return FakeSearch()

    def beats(self, run, watch, times):
        """The times at which a look wrote to the row."""
        written = []
        for now in times:
            now_is(run, heartbeat=None)
            watch.look(float(now))
            run.refresh_from_db()
            if run.heartbeat:
                written.append(now)
        return written

    def test_it_beats_every_two_seconds(self, run, own, search):
        assert self.beats(run, Watch(own, search), range(100, 107)) == [100, 102, 104, 106]

    def test_progress_is_written_once_and_as_soon_as_it_is_news(self, run, own, search):
        watch = Watch(own, search)
        watch.look(100.0)
        search.progress = {run.pk: Progress((Aim("peak", 20, 12),), 0.93)}
        assert self.beats(run, watch, [101, 102]) == [101]
        assert run.progress == {"aims": [["peak", 20, 12]], "seconds": 0.9}

    def test_a_wish_to_stop_ends_the_search(self, run, own, search):
        stop_run(run=run)
        Watch(own, search).look(100.0)
        assert search.stopped

    def test_a_run_taken_up_by_another_ends_the_search(self, run, own, search):
        now_is(run, attempt=2)
        watch = Watch(own, search)
        watch.look(100.0)
        assert search.stopped
        assert watch.is_lost

    def test_the_search_itself_touches_no_database(self, run):
        """Its thread is given values only; a query there would open a connection nobody closes."""
        names = []

        def planner(problem, **how):
            names.append(threading.current_thread().name)
            return TermPlan("unknown")

        search = Search(job_of(run, planner=planner))
        search.start()
        assert search.wait(10)
        assert names == ["term-planner"]


class TestPruning:
    """The queue's rows only carry messages; a run's own row is kept."""

    def message(self, run, *, days, **fields):
        (row,) = DBTaskResult.objects.filter(args_kwargs__args=[run.pk])
        ago = timezone.now() - dt.timedelta(days=days)
        DBTaskResult.objects.filter(pk=row.pk).update(enqueued_at=ago, **fields)
        return ago

    @pytest.mark.parametrize(("days", "kept"), [(8, 0), (6, 1)])
    def test_work_that_ended_is_forgotten_after_a_week(self, run, days, kept):
        ended = timezone.now() - dt.timedelta(days=days)
        self.message(run, days=days, status="SUCCESSFUL", finished_at=ended)
        watch_once("first")
        assert messages(run) == kept
        run.refresh_from_db()

    def test_so_is_what_a_worker_long_gone_had_taken(self, run):
        self.message(run, days=8, status="RUNNING")
        assert run_rows.prune_messages() == 1

    def test_a_message_that_nobody_took_is_kept(self, run):
        self.message(run, days=8)
        assert run_rows.prune_messages() == 0
        assert messages(run) == 1

    def test_with_nothing_to_prune_nothing_is_written(self, run, django_assert_num_queries):
        with django_assert_num_queries(1):
            run_rows.prune_messages()


class TestSigns:
    def test_without_a_worker_there_is_no_sign(self):
        assert signs.last_worker_sign() is None
        assert not signs.worker_is_alive()

    def test_a_round_of_the_watch_gives_a_sign_and_sweeps(self, run, own):
        now_is(run, heartbeat=timezone.now() - SILENT)
        watch_once("second")
        assert signs.worker_is_alive()
        run.refresh_from_db()
        assert run.status == "waiting"

    def test_a_sign_lasts_fifteen_seconds(self):
        signs.give_sign("first")
        WorkerSign.objects.update(seen_at=timezone.now() - SILENT)
        assert not signs.worker_is_alive()
        assert signs.last_worker_sign() is not None

    def test_a_worker_that_ended_in_good_order_leaves_no_sign(self):
        signs.give_sign("first")
        signs.take_sign_away("first")
        assert signs.last_worker_sign() is None

    def test_signs_of_workers_long_gone_are_swept_away(self):
        signs.give_sign("old")
        WorkerSign.objects.update(seen_at=timezone.now() - dt.timedelta(days=2))
        signs.give_sign("new")
        assert [sign.worker for sign in WorkerSign.objects.all()] == ["new"]

    def test_a_database_that_does_not_answer_is_logged_and_tried_again(self, monkeypatch, caplog):
        def no_answer():
            raise OperationalError("the server closed the connection")

        monkeypatch.setattr(run_rows, "sweep", no_answer)
        watch_once("first")
        assert "trying again" in caplog.text


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "Ctrl-C"])
def test_a_worker_ends_within_five_seconds_when_told_to(a_database, with_tables, how):
    """Of a machine that lets it: on a busy one it waits its turn as well."""
    worker = subprocess.Popen(
        [sys.executable, "manage.py", "worker"],
        cwd=project.BASE_DIR,
        env=a_database | {"FREEFOOT_DEMO": "1"},
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert "is ready" in worker.stdout.readline()
        with machine_watched() as kept_waiting:
            told = time.monotonic()
            worker.send_signal(how)
            output, _ = worker.communicate(timeout=60)
            took, (_, waited) = time.monotonic() - told, kept_waiting()
    finally:
        worker.kill()
    assert took - waited < 5
    assert "has ended" in output
    assert worker.returncode == 0
