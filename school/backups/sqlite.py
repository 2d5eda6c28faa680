"""Backups of an SQLite database by SQLite's own backup interface: whole and consistent while others write."""

from __future__ import annotations

import datetime as dt
import sqlite3
import time
from contextlib import closing
from pathlib import Path

from school.backups.errors import BackupError

BEGINS_WITH = b"SQLite format 3\x00"
# A table that every Freefoot database has and hardly another.
A_TABLE_OF_OURS = "school_personrole"
SECONDS_TO_WAIT = 20.0


def save(database: Path, file: Path) -> None:
    """Copy `database` into `file`; the copy is made beside it and moved there once it is whole."""
    if not database.exists():
        raise BackupError(f"There is no database at {database} yet.")
    if file.exists() and file.samefile(database):
        raise BackupError(f"{file} is the database itself. Choose another name.")
    unfinished = file.with_name(f".{file.name}.unfinished")
    try:
        _copy(database, unfinished)
        with closing(sqlite3.connect(unfinished)) as copy:
            # One file without companions, whatever the database's own journal mode.
            copy.execute("PRAGMA journal_mode = DELETE")
        check(unfinished)
        unfinished.replace(file)
    except (OSError, sqlite3.Error) as error:
        raise BackupError(f"The backup was not written: {error}") from error
    finally:
        unfinished.unlink(missing_ok=True)


def restore(file: Path, database: Path) -> Path | None:
    """Put `file`'s rows in the place of `database`'s. SQLite writes them in one transaction, so a
    program that has the database open sees either the old or the new; nothing is half done."""
    check(file)
    database.parent.mkdir(parents=True, exist_ok=True)
    if database.exists() and database.samefile(file):
        raise BackupError(f"{file} is the database itself.")
    kept = None
    if database.exists() and database.stat().st_size:
        kept = database.with_stem(f"{database.stem}.before-{dt.datetime.now():%Y%m%d-%H%M%S-%f}")
        save(database, kept)
    try:
        _copy(file, database)
    except (OSError, sqlite3.Error) as error:
        raise BackupError(f"The backup was not brought back, and nothing has changed: {error}") from error
    return kept


def check(file: Path) -> None:
    """Raises BackupError where `file` is not an undamaged backup of a Freefoot school."""
    with file.open("rb") as opened:
        if opened.read(len(BEGINS_WITH)) != BEGINS_WITH:
            raise BackupError(f"{file} is not a backup of an SQLite database.")
    try:
        with _opened(file) as copy:
            (verdict,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
            found = copy.execute("SELECT 1 FROM sqlite_master WHERE name = ?", [A_TABLE_OF_OURS]).fetchone()
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{file} is damaged: {error}") from error
    if verdict != "ok":
        raise BackupError(f"{file} is damaged: {verdict}")
    if not found:
        raise BackupError(f"{file} is an SQLite database, but not a school's.")


def _opened(file: Path) -> closing[sqlite3.Connection]:
    """An open file that exists; a writing connection, for one that only reads leaves companions behind."""
    return closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=rw", uri=True))


def _copy(source: Path, target: Path) -> None:
    """All rows in one transaction; raises TimeoutError where another program writes and does not stop."""
    deadline = time.monotonic() + SECONDS_TO_WAIT

    def give_up(status: int, remaining: int, total: int) -> None:
        # Left to itself the interface tries for ever.
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > deadline:
            raise TimeoutError("another program is writing to the database")

    with _opened(source) as rows, closing(sqlite3.connect(target, timeout=1)) as place:
        rows.backup(place, progress=give_up)
