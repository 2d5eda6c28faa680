"""What every test may ask for: the fixed cast, signed in."""

import os
import subprocess
import sys
import uuid
from urllib.parse import quote

import psycopg
import pytest
from django.conf import settings

from tests.factories import PersonFactory, SchoolFactory


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
def as_director(client, school, director):
    client.force_login(director, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def a_database(tmp_path):
    """The environment in which `manage.py`, run as its own process, has an empty database to itself:
    an SQLite file in a new folder, or a new database on the PostgreSQL server of this run."""
    folder = tmp_path / "data"
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
def manage(a_database):
    """Runs `manage.py` with these arguments as a process of its own, on `a_database`, to its end."""

    def run(*arguments, **more_environment):
        command = [sys.executable, "manage.py", *map(str, arguments)]
        environment = a_database | more_environment
        return subprocess.run(
            command, cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True, timeout=120
        )

    return run
