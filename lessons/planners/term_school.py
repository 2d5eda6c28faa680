"""Several courses: independent ones side by side, those tied to each other one after another and in step.

Two courses are in step when a figure introduced in both stands at the same lesson index in both. Of a group
of tied courses the first in `problems` is planned freely; each of the others then keeps as near as it can
to its partners planned before it: once its own `left_out` and `moved` are settled, the sum, over the figures
to come that both introduce, of the differences of lesson indexes is made as small as possible, and the aims
below are settled among the plans that are as near. This follows the first course rather than weighing all
against all.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor, wait

from .term_problem import require_sound
from .term_run import BEAT_SECONDS, OnProgress, ShouldStop, plan_in_step
from .term_values import ProblemError, Progress, TermPlan, TermProblem


def plan_school(
    problems: Mapping[str, TermProblem],
    ties: Iterable[tuple[str, str]] = (),
    *,
    seconds: float = 10.0,
    workers: int = 2,
    seed: int = 1,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> dict[str, TermPlan]:
    """Plan every course within `seconds`; `ties` are pairs of courses to be kept in step.

    Groups that are not tied are planned side by side, `workers` at a time. Each course may take an even
    share of the time left, so that what an easy one does not need helps the others. `on_progress` is told
    the course in `Progress.course`; it and `should_stop` are called from the calling thread. After a stop
    the courses not yet planned get what can be found at once. A problem that cannot be read raises
    ProblemError naming the course, before any is planned.
    """
    for course, problem in problems.items():
        try:
            require_sound(problem)
        except ProblemError as error:
            raise ProblemError(f"{course}: {error}") from error
    partners = _partners(problems, tuple(ties))
    school = _School(problems, partners, seconds, max(workers, 1), seed)
    with ThreadPoolExecutor(school.workers) as pool:
        futures = [pool.submit(school.plan_group, group) for group in _groups(partners)]
        try:
            _attend(school, futures, on_progress, should_stop)
        finally:
            school.stop.set()
    for future in futures:
        future.result()
    return {course: school.plans[course] for course in problems}


class _School:
    """What the threads of the groups share."""

    def __init__(
        self,
        problems: Mapping[str, TermProblem],
        partners: Mapping[str, list[str]],
        seconds: float,
        workers: int,
        seed: int,
    ) -> None:
        self.problems, self.partners = problems, partners
        self.workers, self.seed = workers, seed
        self.deadline = time.monotonic() + seconds
        self.waiting = len(problems)
        self.plans: dict[str, TermPlan] = {}
        self.stop = threading.Event()
        self.told: queue.SimpleQueue[Progress] = queue.SimpleQueue()
        self._lock = threading.Lock()

    def plan_group(self, group: tuple[str, ...]) -> None:
        """Plan tied courses one after another, each in step with those before it."""
        for place, course in enumerate(group):
            steps = [
                self.plans[other].introductions for other in self.partners[course] if other in self.plans
            ]
            self.plans[course] = plan_in_step(
                self.problems[course],
                steps,
                seconds=self._share(len(group) - place),
                workers=1,
                seed=self.seed,
                on_progress=lambda progress, course=course: self.told.put(  # type: ignore[misc]
                    Progress(progress.aims, progress.seconds, course)
                ),
                should_stop=self.stop.is_set,
            )

    def _share(self, left_in_group: int) -> float:
        """Seconds for the next course: its turn among those of its group and of the whole queue."""
        with self._lock:
            turns = max(left_in_group, -(-self.waiting // self.workers))
            self.waiting -= 1
        return max(0.0, self.deadline - time.monotonic()) / turns


def _attend(
    school: _School,
    futures: list[Future[None]],
    on_progress: OnProgress | None,
    should_stop: ShouldStop | None,
) -> None:
    """Pass on what the groups tell, and ask the caller, until every group is done or one has failed."""
    while True:
        over = all(future.done() for future in futures)
        failed = any(future.done() and future.exception() for future in futures)
        if should_stop is not None and not school.stop.is_set() and should_stop():
            school.stop.set()
        while not school.told.empty():
            progress = school.told.get()
            if on_progress is not None:
                on_progress(progress)
        if over or failed:
            return
        wait(futures, timeout=BEAT_SECONDS)


def _partners(problems: Mapping[str, TermProblem], ties: tuple[tuple[str, str], ...]) -> dict[str, list[str]]:
    partners: dict[str, list[str]] = {course: [] for course in problems}
    for one, other in ties:
        for course in (one, other):
            if course not in problems:
                raise ProblemError(f"{course} is tied to another course but is not to be planned.")
        if one != other:
            partners[one].append(other)
            partners[other].append(one)
    return partners


def _groups(partners: Mapping[str, list[str]]) -> list[tuple[str, ...]]:
    """Courses tied to each other, directly or through others, in the order in which they were given."""
    groups: list[tuple[str, ...]] = []
    seen: set[str] = set()
    for course in partners:
        if course in seen:
            continue
        group, pending = {course}, [course]
        while pending:
            fresh = [other for other in partners[pending.pop()] if other not in group]
            group.update(fresh)
            pending.extend(fresh)
        seen |= group
        groups.append(tuple(other for other in partners if other in group))
    return groups
