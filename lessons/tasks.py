"""Long work, done by workers. The queue only carries a run's id; what is true of a run stands in its row."""

from __future__ import annotations

import logging
import os
import socket
import threading
import time

from django_tasks import task

from lessons.actions.again import look_again
from lessons.models import PlanRun, RunKind
from lessons.planners.term import ProblemError, Progress, plan_term
from lessons.runs import run_rows
from lessons.runs.jobs import Job, Planner, job_of
from lessons.runs.results import progress_of
from lessons.runs.signs import last_worker_sign, worker_is_alive
from school.clock import school_time

__all__ = ["last_worker_sign", "plan_the_term", "run_plan", "worker_is_alive", "worker_name"]

logger = logging.getLogger(__name__)

BEAT_SECONDS = 2.0
LOOK_SECONDS = 1.0
# Set when this process is asked to end: a run in hand is given back for another worker.
ending = threading.Event()
# How many threads the solver may use in this process; the worker's command sets it.
SOLVER_THREADS = 2


@task()
def plan_the_term(run_id: int) -> str:
    """What the queue calls. Returns what became of the run, for the library's own log."""
    return run_plan(run_id, worker=worker_name())


def worker_name() -> str:
    """This process, as it stands in runs and signs of life."""
    return f"{socket.gethostname()[:50]}-{os.getpid()}"


def run_plan(run_id: int, *, worker: str, planner: Planner = plan_term) -> str:
    """Claim the run, plan, write the result if the run is still one's own; say what became of it.

    The search works in a thread of its own and touches no database, while this one beats, writes progress
    and reads the wish to stop: so a signal to end is heard at any time. A database that fails here leaves
    the run to the sweeper.
    """
    own = run_rows.claim(run_id, worker=worker)
    if own is None:
        return "nothing to do"
    run = PlanRun.objects.select_related("plan__course").get(pk=run_id)
    with school_time():
        job = job_of(run, planner=planner, threads=SOLVER_THREADS)
    search = Search(job)
    watch = Watch(own, search)
    search.start()
    while not search.wait(LOOK_SECONDS):
        watch.look(time.monotonic())
    said = conclude(own, job, search, watch)
    if said == "ended" and run.kind == RunKind.AGAIN:
        run.refresh_from_db()
        with school_time():
            look_again(run)
    return said


def conclude(own: run_rows.Claim, job: Job, search: Search, watch: Watch) -> str:
    """Write what the ended search came to."""
    if watch.is_lost:
        return "taken up by another worker"
    if watch.hands_back and not watch.is_wished_to_stop:
        return "handed back" if own.hand_back() else "taken up by another worker"
    if isinstance(search.failure, ProblemError):
        written = own.fail(str(search.failure))
    elif search.failure is not None:
        logger.error("The planner failed on run %s.", own.run_id, exc_info=search.failure)
        written = own.fail(
            "The planner met an error of its own, which is in the worker's output. The plan is unchanged."
        )
    else:
        with school_time():
            written = own.finish(job.results())
    return "ended" if written else "taken up by another worker"


class Search:
    """A job's search in a thread. `stop()` asks it to end with the best it has.

    `progress`: run (pk) -> the last that was told of it; a new mapping with all that is new.
    """

    def __init__(self, job: Job) -> None:
        self.failure: Exception | None = None
        self.progress: dict[int, Progress] = {}
        self._job = job
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._search, name="term-planner", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def wait(self, seconds: float) -> bool:
        """Whether the search has ended, after at most `seconds`."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def stop(self) -> None:
        self._stopping.set()

    def _search(self) -> None:
        try:
            self._job.search(self._tell, self._stopping.is_set)
        except Exception as failure:
            self.failure = failure

    def _tell(self, progress: Progress) -> None:
        self.progress = self.progress | {self._job.run_of(progress): progress}


class Watch:
    """What a worker does beside the search: beat every two seconds, write progress, read the wish to stop."""

    def __init__(self, own: run_rows.Claim, search: Search) -> None:
        self.is_lost = False
        self.hands_back = False
        self.is_wished_to_stop = False
        self._own = own
        self._search = search
        self._written: dict[int, Progress] = {}
        self._beat_at = 0.0

    def look(self, now: float) -> None:
        """Called every second; `now` in seconds of a clock that only goes forward."""
        if ending.is_set() and not self.hands_back:
            self.hands_back = True
            self._search.stop()
        progress = self._search.progress
        if progress == self._written and now - self._beat_at < BEAT_SECONDS:
            return
        wish = self._own.beat({run: progress_of(told) for run, told in progress.items()})
        self._written, self._beat_at = progress, now
        self.is_lost, self.is_wished_to_stop = wish is None, bool(wish)
        if self.is_lost or self.is_wished_to_stop:
            self._search.stop()
