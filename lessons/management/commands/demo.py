"""`manage.py demo`: an invented school to look round in, served on this machine."""

from __future__ import annotations

import argparse
import datetime as dt
import os
import signal
import sys
import threading
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, connection, connections

from lessons.demo.load import SIGN_INS, demo_is_loaded, load_demo_school
from school import clock, processes
from school.models import Person

HOST = "127.0.0.1"
PASSWORD = "freefoot-demo"  # noqa: S105 (said aloud on purpose)


def day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is not a date; write it like 2026-03-04") from None


class Command(BaseCommand):
    help = "Makes the demo school, serves it on this machine with one worker, and says how to sign in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="make the school and stop")
        parser.add_argument("--port", type=int, default=8000, help="8000 unless said")
        parser.add_argument("--today", type=day, help="the day the story is told on, like 2026-03-04")
        parser.add_argument("--reset", action="store_true", help="empty the demo and begin again")

    def handle(
        self, *, no_serve: bool, port: int, today: dt.date | None, reset: bool, **options: Any
    ) -> None:
        if not no_serve:
            check_port(port)
        prepare_database(reset=reset)
        if not demo_is_loaded():
            self.say("Making the demo school…")
            load_demo_school(today=today or clock.today())
        if no_serve:
            self.say("The demo school is there. `manage.py demo` serves it.")
            self.say_sign_ins()
        else:
            self.serve(port, today)

    def serve(self, port: int, story_day: dt.date | None) -> None:
        """Run the web server and a worker until Ctrl-C, TERM, or the end of either."""
        call_command("collectstatic", interactive=False, verbosity=0)
        connections.close_all()
        stop = threading.Event()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, lambda *_: stop.set())
        children = start_children(port, story_day)
        try:
            if processes.wait_until_answers(HOST, port, children, stop):
                self.say(f"Freefoot's demo school is at http://{HOST}:{port}/ (Ctrl-C ends it)")
                self.say_sign_ins()
            ended = processes.first_over(children, stop)
        finally:
            processes.end(children)
        if ended:
            code = ended.process.returncode
            raise CommandError(f"The {ended.name} ended by itself (exit code {code}), so the demo ended too.")
        self.say("The demo has ended.")

    def say_sign_ins(self) -> None:
        self.say(f"Sign in as {', '.join(SIGN_INS[:-1])} or {SIGN_INS[-1]}, password {PASSWORD}")

    def say(self, sentence: str) -> None:
        self.stdout.write(sentence)
        self.stdout.flush()


def check_port(port: int) -> None:
    if not 1 <= port <= 65535:
        raise CommandError(f"{port} is not a port: choose one from 1 to 65535.")
    if processes.port_is_taken(HOST, port):
        raise CommandError(
            f"Port {port} is taken by another program. End that one, or choose another: --port {port + 1}"
        )


def prepare_database(*, reset: bool) -> None:
    """The tables, up to date; emptied where `reset`. Refuses a database in which a real school lives."""
    file = sqlite_file()
    if file:
        file.parent.mkdir(parents=True, exist_ok=True)
    try:
        call_command("migrate", interactive=False, verbosity=0)
        is_ours = demo_is_loaded() or not Person.objects.exists()
    except DatabaseError as error:
        raise CommandError(f"The database cannot be brought up to date: {error}") from error
    if not is_ours:
        raise CommandError("This database holds a school of its own. The demo leaves it alone.")
    if reset:
        empty(file)


def sqlite_file() -> Path | None:
    database = connection.settings_dict
    return Path(database["NAME"]) if "sqlite3" in database["ENGINE"] else None


def empty(file: Path | None) -> None:
    """Delete an SQLite file with what belongs to it, or every row of another database."""
    if file is None:
        call_command("flush", interactive=False, verbosity=0)
        return
    connections.close_all()
    for name in (file.name, f"{file.name}-wal", f"{file.name}-shm"):
        file.with_name(name).unlink(missing_ok=True)
    call_command("migrate", interactive=False, verbosity=0)


def start_children(port: int, story_day: dt.date | None) -> list[processes.Child]:
    environment = os.environ | {"FREEFOOT_DEMO": "1", "DJANGO_SETTINGS_MODULE": "school.settings"}
    if story_day:
        environment["FREEFOOT_TODAY"] = story_day.isoformat()
    place: dict[str, Any] = {"folder": settings.BASE_DIR, "environment": environment}
    server = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", HOST, "--port", str(port)]
    server += [
        "--workers",
        "1",
        "--blocking-threads",
        "4",
        "--log-level",
        "warning",
        "school.wsgi:application",
    ]
    worker = [sys.executable, "manage.py", "worker"]
    return [
        processes.start("web server", server, **place),
        processes.start("worker", worker, **place),
    ]
