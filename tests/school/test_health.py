"""The page that a monitor asks: does the database answer, is it up to date, is a worker alive."""

import datetime as dt

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from lessons import health
from lessons.models import WorkerSign

pytestmark = pytest.mark.django_db


def ask(client):
    answer = client.get("/health/")
    return answer.status_code, answer.json()


def worker_seen(ago):
    WorkerSign.objects.create(worker="w", seen_at=timezone.now() - dt.timedelta(seconds=ago))


def test_all_is_well(client):
    worker_seen(ago=2)
    status, said = ask(client)
    assert status == 200
    assert (said["database"], said["migrations"], said["worker"]) == ("ok", "ok", "alive")
    assert dt.datetime.fromisoformat(said["worker_seen_at"]) <= timezone.now()


def test_without_a_worker_pages_are_served_all_the_same(client):
    status, said = ask(client)
    assert status == 200
    assert (said["worker"], said["worker_seen_at"]) == ("never seen", None)


def test_a_worker_that_gives_no_sign_is_said_to_be_silent(client):
    worker_seen(ago=16)
    status, said = ask(client)
    assert (status, said["worker"]) == (200, "silent")


def test_a_missing_migration_is_no_health(client):
    MigrationRecorder(connection).migration_qs.filter(app="lessons").delete()
    status, said = ask(client)
    assert status == 503
    assert "run manage.py migrate" in said["migrations"]


def test_a_database_that_does_not_answer_is_no_health_and_says_nothing_more(client, monkeypatch):
    def refuse(self):
        raise OperationalError("password authentication failed for user 'freefoot' at 10.1.2.3")

    monkeypatch.setattr(MigrationRecorder, "applied_migrations", refuse)
    answer = client.get("/health/")
    assert (answer.status_code, answer.json()["database"]) == (503, "does not answer")
    assert b"10.1.2.3" not in answer.content


@pytest.mark.parametrize("workers", [1, 40])
def test_it_is_cheap_and_costs_the_same_with_many_workers(client, workers, django_assert_max_num_queries):
    health.look()
    for number in range(workers):
        WorkerSign.objects.create(worker=f"w{number}", seen_at=timezone.now())
    with django_assert_max_num_queries(3):
        client.get("/health/")


def test_no_cache_keeps_an_old_answer_and_nobody_writes_here(client):
    assert "no-store" in client.get("/health/").headers["Cache-Control"]
    assert client.post("/health/").status_code == 405
