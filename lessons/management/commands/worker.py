"""A worker: does the long work, beside a sweeper that takes up what other workers left lying."""

from __future__ import annotations

import logging
import signal
import threading
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import DatabaseError, close_old_connections, connections
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS, DEFAULT_TASK_QUEUE_NAME
from django_tasks_db.management.commands.db_worker import Worker

from lessons import tasks
from lessons.runs import run_rows, signs

logger = logging.getLogger(__name__)

SIGN_SECONDS = 4.0


class Command(BaseCommand):
    help = "Plan terms for the pages that ask for it, until it is told to end (SIGTERM or Ctrl-C)."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--threads",
            type=int,
            choices=range(1, 9),
            default=tasks.SOLVER_THREADS,
            help="threads of the solver in this worker: 1 where there are as many workers as cores",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        tasks.SOLVER_THREADS = options["threads"]
        name = tasks.worker_name()
        worker = TermWorker(name)
        watch = threading.Thread(target=keep_watch, args=(name,), name="sweeper", daemon=True)
        watch.start()
        try:
            self.stdout.write(f"Worker {name} is ready.")
            self.stdout.flush()
            worker.run()
        finally:
            tasks.ending.set()
            watch.join(timeout=2)
            self.stdout.write(f"Worker {name} has ended.")


class TermWorker(Worker):
    """The library's worker, which tells the run in hand to come to an end when the process is asked to."""

    def __init__(self, name: str) -> None:
        super().__init__(
            queue_names=[DEFAULT_TASK_QUEUE_NAME],
            excluded_queue_names=[],
            interval=0.5,
            batch=False,
            backend_name=DEFAULT_TASK_BACKEND_ALIAS,
            startup_delay=False,
            max_tasks=None,
            worker_id=name[-64:],
        )
        self.configure_signals()

    def configure_signals(self) -> None:
        signal.signal(signal.SIGINT, self.shutdown)
        signal.signal(signal.SIGTERM, self.shutdown)

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        """The first signal ends in good order; asked again, the library ends at once."""
        tasks.ending.set()
        super().shutdown(signum, frame)


def keep_watch(worker: str) -> None:
    """Until the process ends: a sign of life and a sweep every few seconds, on a connection of its own."""
    try:
        while True:
            close_old_connections()
            watch_once(worker)
            if tasks.ending.wait(SIGN_SECONDS):
                break
        signs.take_sign_away(worker)
    finally:
        connections.close_all()


def watch_once(worker: str) -> None:
    """One round. A database that does not answer is told in the log and tried again in the next round."""
    try:
        signs.give_sign(worker)
        taken_up = run_rows.sweep()
        run_rows.prune_messages()
    except DatabaseError:
        logger.exception("The database did not answer; trying again.")
        return
    if taken_up:
        logger.warning("Took up runs whose worker went silent: %s.", ", ".join(map(str, taken_up)))
