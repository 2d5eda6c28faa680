"""SQLite's marks: a row a table with a random text, written anew with each changed row. Only one transaction
writes at a time there, so nobody waits for it who did not wait already."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from django.db.backends.utils import CursorWrapper

MARKS = "SELECT name, mark FROM school_change"
PREPARE = ("CREATE TABLE IF NOT EXISTS school_change (name text PRIMARY KEY, mark text NOT NULL)",)
EVENTS = ("INSERT", "UPDATE", "DELETE")
TRIGGER = """CREATE TRIGGER "{name}" AFTER {event} ON "{table}"
BEGIN UPDATE school_change SET mark = hex(randomblob(16)) WHERE name = '{table}'; END"""
MARK = "INSERT OR REPLACE INTO school_change VALUES ('{table}', hex(randomblob(16)))"


def watching(cursor: CursorWrapper, tables: Collection[str]) -> Iterator[str]:
    """Statements that make the triggers which are not there, and mark what was written without them."""
    cursor.execute("SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'marks_%'")
    there = set(cursor.fetchall())
    wanted = {(f"marks_{table}_{event.lower()}", table): event for table in tables for event in EVENTS}
    # Before others are made: a renamed table took its triggers along, and with them their names.
    yield from (f'DROP TRIGGER "{name}"' for name, table in sorted(there - wanted.keys()))
    missing = sorted(wanted.keys() - there)
    yield from (TRIGGER.format(name=key[0], event=wanted[key], table=key[1]) for key in missing)
    yield from (MARK.format(table=table) for table in sorted({table for _, table in missing}))
