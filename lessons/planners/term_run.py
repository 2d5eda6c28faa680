"""Planning as its caller sees it: a call that reports, can be stopped, and answers in time."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence

from .explain import explain
from .term_aims import lesson_minutes
from .term_check import check_plan
from .term_history import standing
from .term_problem import require_sound
from .term_search import search
from .term_start import ImpossibleTermError
from .term_threads import begin
from .term_values import Progress, TermPlan, TermProblem
from .term_watch import Course, Watch

OnProgress = Callable[[Progress], None]
OnEachProgress = Callable[[list[Progress]], None]
ShouldStop = Callable[[], bool]

# How often the caller is told and asked, and how long a stopped search may take to put down its work.
BEAT_SECONDS = 0.1
GRACE_SECONDS = 0.4


def plan_term(
    problem: TermProblem,
    *,
    seconds: float = 10.0,
    workers: int = 2,
    seed: int = 1,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> TermPlan:
    """Plan the term in at most `seconds`, with proof where time allows.

    `should_stop` is asked and `on_progress` called from the calling thread, at least every half second;
    a stop ends the search within a second, with the best plan so far. Equal problem and seed give an equal
    plan whenever the search ends by proof. `workers` is how many threads may search: one looks for plans, a
    second proves bounds (see `term_prover`); more are of no use to a single course. Raises ProblemError if
    the problem cannot be read.

    An impossible term may take a few seconds more than `seconds`, to bring its conflict down to a minimal
    one; stopped before that is done, the conflict is true but may name more than it must.
    """
    told = None if on_progress is None else lambda each: on_progress(each[0])
    (plan,) = plan_courses(
        [problem],
        (),
        seconds=seconds,
        workers=workers,
        seed=seed,
        on_progress=told,
        should_stop=should_stop,
    )
    return plan


def plan_courses(
    problems: Sequence[TermProblem],
    ties: Sequence[tuple[int, int]],
    *,
    seconds: float,
    workers: int,
    seed: int,
    on_progress: OnEachProgress | None = None,
    should_stop: ShouldStop | None = None,
    explains: bool = True,
) -> tuple[TermPlan, ...]:
    """Plan courses together, those of a tie (a pair of places) in step; all are impossible if one is.

    `explains`: whether an impossible term is told with its conflict, which takes its time; of several
    courses none is.
    """
    for problem in problems:
        require_sound(problem)
    watch = Watch([Course(problem, standing(problem)) for problem in problems], seconds, ties)
    errors: list[BaseException] = []
    done = threading.Event()

    def work() -> None:
        try:
            _work(watch, seed, workers, explains=explains and len(problems) == 1)
        except Exception as error:  # handed to the caller's thread below
            errors.append(error)
        finally:
            done.set()

    def tell() -> None:
        if on_progress is not None:
            on_progress([watch.progress(place) for place in range(len(problems))])

    begin(work, "term-planner")
    try:
        _attend(watch, done, tell, should_stop)
    finally:
        watch.stop()
    if errors:
        raise errors[0]
    plans = tuple(_answer(watch, place) for place in range(len(problems)))
    tell()
    return plans


def _work(watch: Watch, seed: int, workers: int, *, explains: bool) -> None:
    try:
        search(watch, seed=seed, workers=workers)
    except ImpossibleTermError:
        if explains:
            explain(watch)
        else:
            watch.conflict = ()


def _attend(
    watch: Watch, done: threading.Event, tell: Callable[[], None], should_stop: ShouldStop | None
) -> None:
    """Wait for the search; once it has to end, wait no longer than the grace it is given."""
    given_up: float | None = None
    while not done.is_set():
        if should_stop is not None and not watch.stopped() and should_stop():
            watch.stop()
        tell()
        if watch.stopped() or (watch.over() and watch.conflict is None):
            watch.stop()
            given_up = given_up or time.monotonic() + GRACE_SECONDS
            if time.monotonic() >= given_up:
                return
        done.wait(0.05 if given_up else BEAT_SECONDS)


def _answer(watch: Watch, place: int) -> TermPlan:
    problem, state = watch.courses[place].problem, watch.courses[place].state
    if watch.conflict is not None:
        return TermPlan("impossible", conflict=watch.conflict)
    best, aims = watch.outcome(place)
    if best is None:
        return TermPlan("unknown")
    findings = check_plan(problem, best.introductions, best.reviews)
    if findings:
        raise RuntimeError(f"The planner made a plan that is not sound: {findings[0].sentence}")
    introductions = {k: best.introductions[k] for k in state.place if k in best.introductions}
    return TermPlan(
        status="optimal" if all(aim.value == aim.bound for aim in aims) else "feasible",
        introductions=introductions,
        reviews=best.reviews,
        left_out=tuple(key for key in state.place if key not in introductions),
        minutes=lesson_minutes(problem, state, introductions, best.reviews),
        aims=aims,
    )
