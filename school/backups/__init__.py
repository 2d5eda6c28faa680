"""A school's whole database in one file, and back: `save_to(file)` and `bring_back(file)`.

What differs between SQLite and PostgreSQL stands in one module each; both make the file beside its
place and move it there whole, and both keep what stood before a restore.
"""

from __future__ import annotations

from pathlib import Path

from django.db import connections

from school.backups import postgresql, sqlite
from school.backups.errors import BackupError

__all__ = ["BackupError", "bring_back", "save_to"]


def _is_sqlite(database: dict[str, object]) -> bool:
    """SQLite or PostgreSQL; raises BackupError for a kind with no way to save it."""
    engine = str(database["ENGINE"])
    if "sqlite3" in engine:
        return True
    if "postgresql" in engine:
        return False
    raise BackupError(f"Backups are made of SQLite and PostgreSQL, not of {engine}.")


def save_to(file: Path) -> None:
    """Write the database into `file`, replacing an older backup there. Raises BackupError."""
    database = connections["default"].settings_dict
    connections.close_all()
    if not file.parent.is_dir():
        raise BackupError(f"There is no folder {file.parent} to put the backup in.")
    if file.is_dir():
        raise BackupError(f"{file} is a folder. Name a file in it.")
    if _is_something_else(file):
        raise BackupError(f"{file} is there already and is not a backup. Choose another name.")
    if _is_sqlite(database):
        sqlite.save(Path(database["NAME"]), file)
    else:
        postgresql.save(database, file)


def bring_back(file: Path) -> Path | None:
    """Put `file`'s rows in the database's place. Gives the file in which what stood before is kept.

    Raises BackupError, and has then changed nothing.
    """
    database = connections["default"].settings_dict
    connections.close_all()
    if not file.is_file():
        raise BackupError(f"There is no file {file}.")
    if _is_sqlite(database):
        return sqlite.restore(file, Path(database["NAME"]))
    return postgresql.restore(file, database)


def _is_something_else(file: Path) -> bool:
    """Whether `file` holds anything but an older backup; an empty file may be written over."""
    if not file.exists() or file.stat().st_size == 0:
        return False
    with file.open("rb") as opened:
        beginning = opened.read(len(sqlite.BEGINS_WITH))
    return not beginning.startswith((sqlite.BEGINS_WITH, postgresql.BEGINS_WITH))
