"""Whether the house stands: the database answers, its tables are up to date, a worker is alive.

Worked out from three small queries, so that a monitor may ask every few seconds.
"""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass

from django.db import Error, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from lessons.runs.signs import SIGN_LASTS, last_worker_sign


@dataclass(frozen=True)
class Health:
    """`database` and `migrations`: ok or what is wrong. A silent worker delays plans but breaks no page."""

    database: str
    migrations: str
    worker: str
    worker_seen_at: dt.datetime | None

    @property
    def is_well(self) -> bool:
        """Whether pages can be served."""
        return self.database == self.migrations == "ok"


@functools.cache
def _shipped_migrations() -> frozenset[tuple[str, str]]:
    """The migrations that came with the code; they do not change while it runs."""
    return frozenset(MigrationLoader(None).disk_migrations)


def look() -> Health:
    """Ask the database. Never raises for one that does not answer."""
    try:
        missing = _shipped_migrations() - set(MigrationRecorder(connection).applied_migrations())
        if missing:
            return Health("ok", f"{len(missing)} not applied; run manage.py migrate", "unknown", None)
        seen = last_worker_sign()
    except Error:
        return Health("does not answer", "unknown", "unknown", None)
    if seen is None:
        return Health("ok", "ok", "never seen", None)
    # The real clock, also when a story is told on another day: workers sign with it.
    alive = timezone.now() - seen <= SIGN_LASTS
    return Health("ok", "ok", "alive" if alive else "silent", seen)
