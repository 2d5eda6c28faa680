"""What every test may ask for: the fixed cast, signed in."""

import datetime as dt
import socket
import subprocess
import sys
from contextlib import closing, contextmanager

import hypothesis
import pytest
from django.conf import settings
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.db import transaction
from django.utils import timezone

from tests.databases import fill, new_database
from tests.factories import PersonFactory, SchoolFactory

# The story of a served demo is told on this Wednesday.
STORY_DAY = "2026-03-04"

# Passwords are hashed as a school's are, with less work: none here is worth guessing.
Argon2PasswordHasher.time_cost, Argon2PasswordHasher.memory_cost, Argon2PasswordHasher.parallelism = 1, 8, 1

# No test is timed: a busy machine is not a fault.
hypothesis.settings.register_profile("house", deadline=None)
hypothesis.settings.load_profile("house")

# Files are shared out whole among the processes of a run: those that take longest are taken first, so that at
# the end no process waits for another's last one.
LONG = ("tests/browser/test_every_page", "tests/browser/", "tests/test_", "tests/lessons/", "tests/school/")


def pytest_collection_modifyitems(items):
    items.sort(key=lambda item: next((at for at, name in enumerate(LONG) if name in item.nodeid), len(LONG)))


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


@pytest.fixture(scope="module")
def rows_of_the_file(django_db_setup, django_db_blocker):
    """What is written while this is asked for by another fixture of the file is there for all of the file's
    tests, each of which takes back what it writes itself; and is gone after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


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


def run_manage(environment, *arguments):
    """`manage.py` with these arguments as a process of its own, to its end."""
    command = [sys.executable, "manage.py", *map(str, arguments)]
    return subprocess.run(
        command, cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True, timeout=600
    )


@pytest.fixture
def a_database(tmp_path):
    """An empty database for processes of this test's own; see `new_database`."""
    with new_database(tmp_path / "data") as environment:
        yield environment


@pytest.fixture
def manage(a_database):
    """Runs `manage.py` with these arguments as a process of its own, on `a_database`, to its end."""

    def run(*arguments, **more_environment):
        return run_manage(a_database | more_environment, *arguments)

    return run


@pytest.fixture(scope="session")
def the_tables(tmp_path_factory):
    """A database with all tables and no school, to make others like it: migrating takes longer than most
    that is done after it. Nothing is ever written into it."""
    with new_database(tmp_path_factory.mktemp("tables") / "data") as environment:
        made = run_manage(environment, "migrate")
        assert made.returncode == 0, made.stderr
        yield environment


@pytest.fixture
def with_tables(a_database, the_tables):
    """Makes `a_database` one that is migrated."""
    fill(a_database, the_tables)


@pytest.fixture(scope="session")
def the_demo(tmp_path_factory, the_tables):
    """A database with the demo school on Wednesday 4 March 2026, to make others like it."""
    with new_database(tmp_path_factory.mktemp("demo") / "data", like=the_tables) as environment:
        made = run_manage(environment, "demo", "--no-serve", "--today", STORY_DAY)
        assert made.returncode == 0, made.stderr
        yield environment


@pytest.fixture
def with_the_demo(a_database, the_demo):
    """Makes `a_database` one that holds the demo school on Wednesday 4 March 2026."""
    fill(a_database, the_demo)


def a_free_port():
    """A port of this machine that nothing listens on now."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def free_port():
    return a_free_port()


@contextmanager
def serving(environment):
    """The running demo, web server and worker, as one process: its `address`, and what it `said` as far as
    the sign-ins."""
    port = a_free_port()
    command = [sys.executable, "manage.py", "demo", "--port", str(port), "--today", STORY_DAY]
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
def served(tmp_path, the_demo):
    """The demo for this test alone; see `serving`."""
    with new_database(tmp_path / "served", like=the_demo) as environment, serving(environment) as process:
        yield process


@pytest.fixture(scope="module")
def served_to_all(tmp_path_factory, the_demo):
    """The demo for all tests of one file, which leave each other's things alone; see `serving`."""
    folder = tmp_path_factory.mktemp("school") / "data"
    with new_database(folder, like=the_demo) as environment, serving(environment) as process:
        yield process


@pytest.fixture(scope="session")
def served_to_readers(tmp_path_factory, the_demo):
    """The demo for tests of any file that write nothing which another could meet; see `serving`."""
    folder = tmp_path_factory.mktemp("readers") / "data"
    with new_database(folder, like=the_demo) as environment, serving(environment) as process:
        yield process
