"""SQLite's mark: one row with a random text, written anew by each changed row. Only one transaction writes at
a time there, so nobody waits for it who did not wait already."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db.backends.utils import CursorWrapper

MARK = "SELECT mark FROM school_change"
PREPARE = (
    "CREATE TABLE IF NOT EXISTS school_change (mark text NOT NULL)",
    "INSERT INTO school_change SELECT hex(randomblob(16)) WHERE NOT EXISTS (SELECT 1 FROM school_change)",
)
EVENTS = ("INSERT", "UPDATE", "DELETE")
TRIGGER = """CREATE TRIGGER "{name}" AFTER {event} ON "{table}"
BEGIN UPDATE school_change SET mark = hex(randomblob(16)); END"""


def missing_triggers(cursor: CursorWrapper, tables: Iterable[str]) -> Iterator[str]:
    """Statements that make the triggers which are not there."""
    cursor.execute("SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'")
    there = set(cursor.fetchall())
    for table in sorted(tables):
        for event in EVENTS:
            name = f"{table}_{event.lower()}_is_marked"
            if (name, table) in there:
                continue
            # A renamed table took the trigger along, and with it the name.
            yield f'DROP TRIGGER IF EXISTS "{name}"'
            yield TRIGGER.format(name=name, event=event, table=table)
