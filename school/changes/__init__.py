"""Whether anything at all was written since: `mark()` is another text after every change of a watched table.

The database itself sees to that, by triggers, so that no way of writing goes round it: not `update()` or
`bulk_create`, not plain SQL, not another process. A mark never comes back, except with a restored backup, and
then with the rows it stood for. Triggers are made after every `migrate` for each table that has none: new
tables, and those SQLite made anew to change a column.
"""

from __future__ import annotations

import secrets
from types import ModuleType
from typing import Any

from django.apps import apps
from django.db import connection, connections

from school.changes import postgresql, sqlite

__all__ = ["mark", "watch_tables", "watched_tables"]

# Apps and models (app.model) whose rows no kept page shows: they change often, and nobody reads them there.
UNWATCHED = frozenset({"axes", "contenttypes", "django_tasks_database", "sessions", "lessons.workersign"})


def mark() -> str:
    """What stands for the rows as they are now; where nothing does, a text that never comes again. One
    query."""
    with connection.cursor() as cursor:
        cursor.execute(_home(connection.vendor).MARK)
        found = cursor.fetchone()
    return (found and found[0]) or secrets.token_hex()


def watched_tables() -> frozenset[str]:
    """Every table of every app, those between two models included, except what is unwatched."""
    models = apps.get_models(include_auto_created=True)
    return frozenset(
        model._meta.db_table
        for model in models
        if model._meta.managed and UNWATCHED.isdisjoint({model._meta.app_label, model._meta.label_lower})
    )


def watch_tables(using: str, **of_the_signal: Any) -> None:
    """Have every watched table of the database mark its changes; what does so already is left alone."""
    database = connections[using]
    tables = watched_tables().intersection(database.introspection.table_names())
    home = _home(database.vendor)
    with database.cursor() as cursor:
        for statement in home.PREPARE:
            cursor.execute(statement)
        for statement in home.missing_triggers(cursor, tables):
            cursor.execute(statement)


def _home(vendor: str) -> ModuleType:
    return sqlite if vendor == "sqlite" else postgresql
