"""What every test may ask for: the fixed cast, signed in."""

import datetime as dt
import os
import socket
import subprocess
import sys
import uuid
from contextlib import closing, contextmanager
from urllib.parse import quote

import hypothesis
import psycopg
import pytest
from django.conf import settings
from django.utils import timezone

from tests.factories import PersonFactory, SchoolFactory

# No test is timed: a busy machine is not a fault.
hypothesis.settings.register_profile("house", deadline=None)
hypothesis.settings.load_profile("house")


@pytest.fixture
def school(db):
    return SchoolFactory()


@pytest.fixture
def director(db):
    return PersonFactory(username="head", name="Hester Quayle", roles=["director", "instructor"])


@pytest.fixture
def instructor(db):
    return PersonFactory(username="teacher", name="Tobin Marl", roles=["instructor"])


@pytest.fixture
def student(db):
    return PersonFactory(username="learner", name="Lark Penfold", roles=["student"])


@pytest.fixture
def outsider(db):
    """Somebody who can sign in but has no role."""
    return PersonFactory(username="stranger", name="Sorrel Vane")


@pytest.fixture
def wall_clock(monkeypatch):
    """wall_clock("21:00") sets the time of day for the school; the day is `settings.TODAY`."""
    real = timezone.localtime

    def show(said):
        def localtime(value=None, zone=None):
            moment = real(value, zone)
            shown = dt.datetime.combine(moment.date(), dt.time.fromisoformat(said), tzinfo=moment.tzinfo)
            return moment if value else shown

        monkeypatch.setattr(timezone, "localtime", localtime)

    return show


@pytest.fixture
def as_director(client, school, director):
    client.force_login(director)
    return client


@contextmanager
def empty_database(folder):
    """The environment in which `manage.py`, run as its own process, has an empty database to itself:
    an SQLite file in `folder`, or a new database on the PostgreSQL server of this run."""
    folder.mkdir()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FREEFOOT_")}
    environment |= {"FREEFOOT_DATA": str(folder)}
    server = settings.DATABASES["default"]
    if server["ENGINE"].endswith("sqlite3"):
        yield environment
        return
    place = {"host": server["HOST"], "port": server["PORT"] or 5432, "user": server["USER"]}
    place |= {"password": server["PASSWORD"], "dbname": "postgres"}
    name = f"freefoot_{uuid.uuid4().hex}"
    with psycopg.connect(**place, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        user, host = f"{server['USER']}:{quote(server['PASSWORD'], '')}", quote(server["HOST"], "")
        yield environment | {"DATABASE_URL": f"postgres://{user}@{host}:{place['port']}/{name}"}
        connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def a_database(tmp_path):
    """An empty database for processes of this test's own; see `empty_database`."""
    with empty_database(tmp_path / "data") as environment:
        yield environment


@pytest.fixture
def manage(a_database):
    """Runs `manage.py` with these arguments as a process of its own, on `a_database`, to its end."""

    def run(*arguments, **more_environment):
        command = [sys.executable, "manage.py", *map(str, arguments)]
        environment = a_database | more_environment
        return subprocess.run(
            command, cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True, timeout=120
        )

    return run


def a_free_port():
    """A port of this machine that nothing listens on now."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def free_port():
    return a_free_port()


@contextmanager
def serving(environment, port):
    """The running demo, web server and worker, as one process: its `address`, and what it `said` as far as
    the sign-ins. The story is told on Wednesday 4 March 2026."""
    command = [sys.executable, "manage.py", "demo", "--port", str(port), "--today", "2026-03-04"]
    said_where = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True}
    process = subprocess.Popen(command, cwd=settings.BASE_DIR, env=environment, **said_where)
    lines = []
    for line in process.stdout:
        lines.append(line)
        if "password" in line:
            break
    process.said = "".join(lines)
    process.address = f"http://127.0.0.1:{port}"
    yield process
    if process.poll() is None:
        process.terminate()
        process.wait(timeout=15)
    process.stdout.close()


@pytest.fixture
def served(a_database, free_port):
    """The demo on a database of this test's own; see `serving`."""
    with serving(a_database, free_port) as process:
        yield process


@pytest.fixture(scope="module")
def served_to_all(tmp_path_factory):
    """The demo for all tests of one file, which leave each other's things alone; see `serving`."""
    folder = tmp_path_factory.mktemp("school") / "data"
    with empty_database(folder) as environment, serving(environment, a_free_port()) as process:
        yield process
