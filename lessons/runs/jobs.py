"""What a worker plans for a run: a draft, the rest of a term, or courses that are tied to each other.

A job is read from rows, searched without them, and written back as results.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from lessons.models import PlanRun, RunKind
from lessons.planners.again import plan_again
from lessons.planners.newcomers import plan_for_newcomers
from lessons.planners.same_week import plan_in_step
from lessons.planners.term import Progress, Reason, TermPlan, plan_term
from lessons.planners.ways_out import WayOut, ways_out
from lessons.problems import CourseProblem, course_problems, placements
from lessons.runs.results import again_result, result_of

Planner = Callable[..., TermPlan]
Tell = Callable[[Progress], None]
Asked = Callable[[], bool]

WAYS_SECONDS = 5.0


class Job(Protocol):
    """`search` touches no database; `results`: run (pk) -> what its row is to hold, once it has ended."""

    def search(self, tell: Tell, should_stop: Asked) -> None: ...

    def results(self) -> dict[int, dict[str, Any]]: ...

    def run_of(self, progress: Progress) -> int: ...


def job_of(run: PlanRun, *, planner: Planner = plan_term, threads: int = 2) -> Job:
    """The job of a run that leads, with those who follow it. As many queries as for one course.

    `threads`: how many the solver may use.
    """
    runs = [run, *run.followers.select_related("plan__course")]
    problems = course_problems([one.plan for one in runs])
    if len(runs) > 1:
        return TogetherJob(runs, problems, threads)
    return (AgainJob if run.kind == RunKind.AGAIN else DraftJob)(run, problems[0], planner, threads)


class _OnePlan:
    """What a job of a single plan is planned by, and what would undo a conflict in it."""

    def __init__(self, run: PlanRun, problem: CourseProblem, planner: Planner, threads: int) -> None:
        self._run, self._problem, self._planner, self._threads = run, problem, planner, threads
        self._ways: tuple[WayOut, ...] = ()

    def run_of(self, progress: Progress) -> int:
        return self._run.pk

    def _how(self, tell: Tell, should_stop: Asked) -> dict[str, Any]:
        return {
            "seconds": float(self._run.seconds),
            "planner": self._planner,
            "workers": self._threads,
            "on_progress": tell,
            "should_stop": should_stop,
        }

    def _try_ways(self, conflict: Sequence[Reason], should_stop: Asked) -> None:
        if conflict:
            self._ways = ways_out(
                self._problem.to_plan, conflict, seconds=WAYS_SECONDS, should_stop=should_stop
            )


class DraftJob(_OnePlan):
    """One draft planned as well as can be; where that is impossible, what would undo it is tried."""

    def search(self, tell: Tell, should_stop: Asked) -> None:
        problem = self._problem
        self._plan = plan_for_newcomers(problem.to_plan, problem.joining, **self._how(tell, should_stop))
        self._try_ways(self._plan.conflict, should_stop)

    def results(self) -> dict[int, dict[str, Any]]:
        return {self._run.pk: result_of(self._problem, self._plan, self._ways)}


class AgainJob(_OnePlan):
    """The rest of a published plan, disturbed least."""

    def search(self, tell: Tell, should_stop: Asked) -> None:
        problem = self._problem
        introductions, reviews = placements(problem)
        self._again = plan_again(
            problem.to_plan,
            introductions,
            reviews,
            joining=problem.joining,
            **self._how(tell, should_stop),
        )
        self._try_ways(self._again.conflict, should_stop)

    def results(self) -> dict[int, dict[str, Any]]:
        return {self._run.pk: again_result(self._problem, self._again, self._ways)}


@dataclass
class TogetherJob:
    """Drafts of courses kept in step, planned as one."""

    runs: Sequence[PlanRun]
    problems: Sequence[CourseProblem]
    threads: int

    def search(self, tell: Tell, should_stop: Asked) -> None:
        self._plans = planned_together(
            {str(run.pk): problem for run, problem in zip(self.runs, self.problems, strict=True)},
            seconds=float(self.runs[0].seconds),
            workers=self.threads,
            on_progress=tell,
            should_stop=should_stop,
        )

    def results(self) -> dict[int, dict[str, Any]]:
        rows = zip(self.runs, self.problems, self._plans.values(), strict=True)
        return {run.pk: result_of(problem, plan) for run, problem, plan in rows}

    def run_of(self, progress: Progress) -> int:
        return int(progress.course) if progress.course else self.runs[0].pk


def planned_together(
    problems: Mapping[str, CourseProblem], *, seconds: float, workers: int = 2, **how: Any
) -> dict[str, TermPlan]:
    """Course -> its plan, kept in step with the others; `seconds`: the longest time for a course."""
    return plan_in_step(
        {key: problem.to_plan for key, problem in problems.items()},
        {key: [_week(lesson.date) for lesson in problem.lessons] for key, problem in problems.items()},
        joining={key: problem.joining for key, problem in problems.items()},
        seconds=seconds * len(problems),
        workers=workers,
        **how,
    )


def _week(day: dt.date) -> int:
    """Rises by one from Monday to Monday."""
    return (day.toordinal() - 1) // 7
