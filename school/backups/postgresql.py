"""Backups of a PostgreSQL database, by its own pg_dump and pg_restore."""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from school.backups.errors import BackupError
from school.changes.postgresql import FORGET

BEGINS_WITH = b"PGDMP"
A_TABLE_OF_OURS = "school_personrole"
# Each part of the address goes by the environment: an argument could be read by others on the machine.
PASSED_ON = {
    "NAME": "PGDATABASE",
    "USER": "PGUSER",
    "PASSWORD": "PGPASSWORD",
    "HOST": "PGHOST",
    "PORT": "PGPORT",
}
DROP_ALL_TABLES = """DO $$ DECLARE one text; BEGIN
  FOR one IN SELECT format('%I.%I', schemaname, tablename) FROM pg_tables WHERE schemaname = current_schema()
  LOOP EXECUTE 'DROP TABLE ' || one || ' CASCADE'; END LOOP; END $$"""


def save(database: Mapping[str, Any], file: Path) -> None:
    """Dump the database into `file`, in pg_dump's own format; made beside it and moved there whole."""
    unfinished = file.with_name(f".{file.name}.unfinished")
    try:
        _run(database, "pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={unfinished}")
        unfinished.replace(file)
    except OSError as error:
        raise BackupError(f"The backup was not written: {error}") from error
    finally:
        unfinished.unlink(missing_ok=True)


def restore(file: Path, database: Mapping[str, Any]) -> Path:
    """Put `file`'s tables in the place of the database's, all in one transaction."""
    check(file, database)
    kept = file.with_name(f"{file.name}.before-{dt.datetime.now():%Y%m%d-%H%M%S-%f}")
    save(database, kept)
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "restore.sql"
        _run(database, "pg_restore", "--no-owner", "--no-privileges", f"--file={script}", str(file))
        settings = ["--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--single-transaction"]
        # A server that is still serving holds no lock for long; one that does is reported, not waited for.
        wait = ["--command=SET LOCAL lock_timeout = '30s'", f"--command={DROP_ALL_TABLES}"]
        wait.append(f"--command={FORGET}")
        _run(database, "psql", *settings, *wait, f"--file={script}")
    return kept


def check(file: Path, database: Mapping[str, Any]) -> None:
    """Raises BackupError where `file` is not a dump of a Freefoot school."""
    with file.open("rb") as opened:
        if opened.read(len(BEGINS_WITH)) != BEGINS_WITH:
            raise BackupError(f"{file} is not a backup of a PostgreSQL database.")
    if A_TABLE_OF_OURS not in _run(database, "pg_restore", "--list", str(file)):
        raise BackupError(f"{file} is a PostgreSQL backup, but not a school's.")


def _run(database: Mapping[str, Any], program: str, *arguments: str) -> str:
    """Run one of PostgreSQL's programs on the database; its output, or BackupError with what it said."""
    environment = dict(os.environ)
    environment |= {theirs: str(database[ours]) for ours, theirs in PASSED_ON.items() if database.get(ours)}
    if mode := database.get("OPTIONS", {}).get("sslmode"):
        environment["PGSSLMODE"] = str(mode)
    command = [program, *arguments]
    try:
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)  # noqa: S603
    except FileNotFoundError:
        raise BackupError(
            f"{program} is not on this machine. Install PostgreSQL's client programs of the server's version."
        ) from None
    if done.returncode:
        said = done.stderr.strip().splitlines() or ["it did not say why"]
        raise BackupError(f"{program} failed: {said[0]}")
    return done.stdout
