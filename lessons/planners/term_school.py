"""Several courses, one after another, those tied to each other kept in step.

Two courses are in step when a figure introduced in both stands at the same lesson index in both. Of a group
of tied courses the first in `problems` is planned freely; each of the others then keeps as near as it can
to those planned before it: once its own `left_out` and `moved` are settled, the sum, over the figures to
come that both introduce, of the differences of lesson indexes is made as small as possible, and the aims
below are settled among the plans that are as near. This follows the first course rather than weighing all
against all.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping

from .term_run import OnProgress, ShouldStop, plan_in_step
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
    """Plan every course; `ties` are pairs of courses to be kept in step. -> course -> its plan.

    The time left is shared evenly among the courses still to be planned, so that what an easy one does not
    need helps the others. `on_progress` is told the course. After a stop the courses not yet planned get
    the plan that is found at once. A course whose problem cannot be read raises ProblemError naming it.
    """
    partners = _partners(problems, tuple(ties))
    deadline = time.monotonic() + seconds
    plans: dict[str, TermPlan] = {}
    for place, (course, problem) in enumerate(problems.items()):
        steps = [plans[other].introductions for other in partners[course] if other in plans]
        share = max(0.0, deadline - time.monotonic()) / (len(problems) - place)
        try:
            plans[course] = plan_in_step(
                problem,
                steps,
                seconds=share,
                workers=workers,
                seed=seed,
                on_progress=_of_course(course, on_progress),
                should_stop=should_stop,
            )
        except ProblemError as error:
            raise ProblemError(f"{course}: {error}") from error
    return plans


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


def _of_course(course: str, on_progress: OnProgress | None) -> OnProgress | None:
    if on_progress is None:
        return None
    return lambda progress: on_progress(Progress(progress.aims, progress.seconds, course))
