"""Several courses: independent ones side by side, those tied to each other together, as one.

Two courses are in step when a figure introduced in both stands at the same lesson index in both. The aims of
tied courses are added up, in the rank of the first of them; once `left_out` and `moved` are settled, the sum,
over the figures that both introduce and one has still to come, of the differences of lesson indexes is made
as small as possible, and the aims below are settled among the plans that are as near. No course leads.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor, wait

from .term_problem import require_sound
from .term_run import BEAT_SECONDS, OnProgress, ShouldStop, plan_courses
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

    Groups that are not tied are planned side by side, `workers` at a time; where there are fewer groups than
    workers, each has several. A group may take the share of the time left that its courses have among those
    still waiting, so that what an easy one does not need helps the others. Of a group in which a course is
    impossible the others are planned in step without it. A tied course's bounds hold given its partners'
    plans. `on_progress` is told the course in `Progress.course`; it and `should_stop` are called from the
    calling thread. After a stop the courses not yet planned get what can be found at once. A problem that
    cannot be read raises ProblemError naming the course, before any is planned.
    """
    for course, problem in problems.items():
        try:
            require_sound(problem)
        except ProblemError as error:
            raise ProblemError(f"{course}: {error}") from error
    partners = _partners(problems, tuple(ties))
    groups = _groups(partners)
    school = _School(problems, partners, seconds, max(workers, 1), seed)
    school.threads = max(1, school.workers // max(1, len(groups)))
    with ThreadPoolExecutor(school.workers) as pool:
        futures = [pool.submit(school.plan_group, group) for group in groups]
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
        self.workers, self.seed, self.threads = workers, seed, 1
        self.deadline = time.monotonic() + seconds
        self.waiting = len(problems)
        self.plans: dict[str, TermPlan] = {}
        self.stop = threading.Event()
        self.told: queue.SimpleQueue[Progress] = queue.SimpleQueue()
        self._lock = threading.Lock()

    def plan_group(self, group: tuple[str, ...]) -> None:
        """Plan tied courses together; without those that turn out impossible, each told why."""
        until = time.monotonic() + self._share(len(group))
        plans = self._plan(group, until)
        if len(group) > 1 and plans[0].status == "impossible":
            alone = [
                self._plan((course,), time.monotonic() + self._part(until, len(group)))[0] for course in group
            ]
            self.plans.update(zip(group, alone, strict=True))
            group = tuple(
                course for course, plan in zip(group, alone, strict=True) if plan.status != "impossible"
            )
            if len(group) < 2:
                return
            plans = self._plan(group, until)
        self.plans.update(zip(group, plans, strict=True))

    def _plan(self, group: tuple[str, ...], until: float) -> tuple[TermPlan, ...]:
        return plan_courses(
            [self.problems[course] for course in group],
            [
                (place, group.index(other))
                for place, course in enumerate(group)
                for other in self.partners[course]
                if other in group[place + 1 :]
            ],
            seconds=max(0.0, until - time.monotonic()),
            workers=self.threads,
            seed=self.seed,
            on_progress=lambda each: self._tell(group, each),
            should_stop=self.stop.is_set,
        )

    def _tell(self, group: tuple[str, ...], each: list[Progress]) -> None:
        for course, progress in zip(group, each, strict=True):
            self.told.put(Progress(progress.aims, progress.seconds, course))

    def _part(self, until: float, count: int) -> float:
        """Seconds to find out about one of `count` courses alone, half of the time left among them."""
        return max(0.0, until - time.monotonic()) / (2 * count)

    def _share(self, courses: int) -> float:
        """Seconds for a group: its courses' part of the time left, among all that wait their turn."""
        with self._lock:
            turns = max(courses, -(-self.waiting // self.workers))
            self.waiting -= courses
        return max(0.0, self.deadline - time.monotonic()) * courses / turns


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
