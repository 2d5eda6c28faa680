"""Databases for processes of a test's own: empty ones, and copies of one that was made before."""

import os
import shutil
import uuid
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote, urlsplit

import psycopg
from django.conf import settings


@contextmanager
def new_database(folder, *, like=None):
    """The environment in which `manage.py`, run as its own process, has a database to itself: an SQLite file
    in `folder`, or a new database on the PostgreSQL server of this run. Empty, or as `fill` makes it."""
    folder.mkdir()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FREEFOOT_")}
    environment |= {"FREEFOOT_DATA": str(folder)}
    if not is_sqlite():
        server = settings.DATABASES["default"]
        user, host = f"{server['USER']}:{quote(server['PASSWORD'], '')}", quote(server["HOST"], "")
        name = f"freefoot_{uuid.uuid4().hex}"
        environment |= {"DATABASE_URL": f"postgres://{user}@{host}:{server['PORT'] or 5432}/{name}"}
        on_the_server(f"CREATE DATABASE {name}")
    if like:
        fill(environment, like)
    yield environment
    if not is_sqlite():
        on_the_server(f"DROP DATABASE {name_of(environment)} WITH (FORCE)")


def fill(environment, like):
    """Makes a new database what that of the environment `like` is, which nobody may be using."""
    if is_sqlite():
        shutil.copy(file_of(like), file_of(environment))
    else:
        name = name_of(environment)
        on_the_server(f"DROP DATABASE {name}", f"CREATE DATABASE {name} TEMPLATE {name_of(like)}")


def is_sqlite():
    return settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")


def file_of(environment):
    return Path(environment["FREEFOOT_DATA"]) / "freefoot.sqlite3"


def name_of(environment):
    return urlsplit(environment["DATABASE_URL"]).path.lstrip("/")


def on_the_server(*commands):
    """Runs the commands beside all databases of the PostgreSQL server."""
    server = settings.DATABASES["default"]
    place = {"host": server["HOST"], "port": server["PORT"] or 5432, "user": server["USER"]}
    place |= {"password": server["PASSWORD"], "dbname": "postgres"}
    with psycopg.connect(**place, autocommit=True) as connection:
        for command in commands:
            connection.execute(command)
