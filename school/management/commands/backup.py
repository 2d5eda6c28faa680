"""`manage.py backup FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from school import backups


class Command(BaseCommand):
    help = "Writes the whole database into one file, also while the school is being used."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="an older backup of that name is replaced")

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            backups.save_to(file)
        except (backups.BackupError, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"The school is saved in {file} ({file.stat().st_size / 1024:.0f} KiB).")
