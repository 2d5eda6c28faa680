"""Long work, done by workers. The queue only carries a run's id; what is true of a run stands in its row."""

from __future__ import annotations

import logging
import os
import socket
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

from django_tasks import task

from lessons import run_rows
from lessons.models import PlanRun
from lessons.planners.term import ProblemError, Progress, TermPlan, plan_term
from lessons.planners.term_values import Reason
from lessons.problems import CourseProblem, course_problem, placements
from lessons.problems.loads import loads
from lessons.signs import last_worker_sign, worker_is_alive
from school.clock import school_time

__all__ = ["last_worker_sign", "plan_the_term", "run_plan", "worker_is_alive", "worker_name"]

logger = logging.getLogger(__name__)

BEAT_SECONDS = 2.0
LOOK_SECONDS = 1.0
# Set when this process is asked to end: a run in hand is given back for another worker.
ending = threading.Event()

Planner = Callable[..., TermPlan]


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
    run = PlanRun.objects.select_related("plan").get(pk=run_id)
    with school_time():
        problem = course_problem(run.plan)
    search = Search(problem, seconds=run.seconds, planner=planner)
    watch = Watch(own, search)
    search.start()
    while not search.wait(LOOK_SECONDS):
        watch.look(time.monotonic())
    return conclude(own, problem, search, watch)


def conclude(own: run_rows.Claim, problem: CourseProblem, search: Search, watch: Watch) -> str:
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
    elif search.plan is not None:
        written = own.finish(result_of(problem, search.plan))
    else:
        written = own.fail("The planner gave no answer.")
    return "ended" if written else "taken up by another worker"


class Search:
    """The planner in a thread. `stop()` asks it to end with the best it has."""

    def __init__(self, problem: CourseProblem, *, seconds: int, planner: Planner) -> None:
        self.plan: TermPlan | None = None
        self.failure: Exception | None = None
        self.progress: Progress | None = None
        self._problem = problem.problem
        self._seconds = seconds
        self._planner = planner
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
            self.plan = self._planner(
                self._problem,
                seconds=float(self._seconds),
                on_progress=self._tell,
                should_stop=self._stopping.is_set,
            )
        except Exception as failure:
            self.failure = failure

    def _tell(self, progress: Progress) -> None:
        self.progress = progress


class Watch:
    """What a worker does beside the search: beat every two seconds, write progress, read the wish to stop."""

    def __init__(self, own: run_rows.Claim, search: Search) -> None:
        self.is_lost = False
        self.hands_back = False
        self.is_wished_to_stop = False
        self._own = own
        self._search = search
        self._written: Progress | None = None
        self._beat_at = 0.0

    def look(self, now: float) -> None:
        """Called every second; `now` in seconds of a clock that only goes forward."""
        if ending.is_set() and not self.hands_back:
            self.hands_back = True
            self._search.stop()
        progress = self._search.progress
        if progress is self._written and now - self._beat_at < BEAT_SECONDS:
            return
        wish = self._own.beat(progress_of(progress) if progress else None)
        self._written, self._beat_at = progress, now
        self.is_lost, self.is_wished_to_stop = wish is None, bool(wish)
        if self.is_lost or self.is_wished_to_stop:
            self._search.stop()


def progress_of(progress: Progress) -> dict[str, Any]:
    """What PlanRun.progress holds: aims as [name, value, bound], and the seconds so far."""
    aims = [[aim.name, aim.value, aim.bound] for aim in progress.aims]
    return {"aims": aims, "seconds": round(progress.seconds, 1)}


def result_of(problem: CourseProblem, plan: TermPlan) -> dict[str, Any]:
    """What PlanRun.result holds: the plan in figure names and lesson indices, and the lessons (pk) meant.

    `before` is what stood when the run read it, so that a run can be read long after it was accepted.
    `loads`: [new, again, room] a lesson. `reasons`: the conflict, demand by demand.
    """
    before, reviews_before = placements(problem)
    stood = [(review.key, review.index) for review in reviews_before]
    return {
        "status": plan.status,
        "introductions": dict(plan.introductions),
        "reviews": [[review.key, review.index, review.due] for review in plan.reviews],
        "left_out": list(plan.left_out),
        "minutes": list(plan.minutes),
        "aims": [[aim.name, aim.value, aim.bound] for aim in plan.aims],
        "conflict": [reason.sentence for reason in plan.conflict],
        "reasons": [_reason(problem, reason) for reason in plan.conflict],
        "lessons": [lesson.pk for lesson in problem.lessons],
        "first_to_come": problem.first_to_come,
        "loads": _loads(problem, plan.introductions, [(review.key, review.index) for review in plan.reviews]),
        "before": {
            "introductions": before,
            "reviews": [list(pair) for pair in stood],
            "loads": _loads(problem, before, stood),
        },
        "notes": list(problem.notes),
    }


def _loads(
    problem: CourseProblem, introductions: Mapping[str, int], reviews: list[tuple[str, int]]
) -> list[list[int]]:
    found = loads(problem, introductions, reviews)
    return [[load.new, load.again, load.room] for load in found]


def _reason(problem: CourseProblem, reason: Reason) -> dict[str, Any]:
    """A demand of a conflict with what its sentence is put together from.

    `figures`: the primary keys of its keys. `limit`: what a lesson allows (minutes, or new figures).
    A need that may be met on the same evening is of the kind "after".
    """
    figures = {figure.key: figure for figure in problem.problem.figures}
    kind = reason.kind
    if kind == "need" and reason.keys[1] in figures[reason.keys[0]].after:
        kind = "after"
    slot = problem.problem.lessons[reason.lessons[0]] if reason.lessons else None
    limit = {"room": slot.minutes, "most": slot.max_new}.get(kind) if slot else None
    return {
        "kind": kind,
        "keys": list(reason.keys),
        "figures": [
            problem.plan_figures[key].figure_id for key in reason.keys if key in problem.plan_figures
        ],
        "lessons": list(reason.lessons),
        "limit": limit,
        "sentence": reason.sentence,
    }
