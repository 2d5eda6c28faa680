"""`manage.py restore FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from school import backups


class Command(BaseCommand):
    help = "Brings a backup back in the database's place; what stood there before is kept in a file."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="a file that `manage.py backup` wrote")

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            kept = backups.bring_back(file)
        except (backups.BackupError, OSError) as error:
            raise CommandError(str(error)) from error
        # A backup made by an older version lacks the newer tables.
        call_command("migrate", interactive=False, verbosity=0)
        self.stdout.write(f"The school is as it was saved in {file}.")
        if kept:
            self.stdout.write(f"What stood before is kept in {kept}.")
