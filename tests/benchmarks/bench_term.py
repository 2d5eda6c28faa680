"""How good and how fast the term planner is: `python tests/benchmarks/bench_term.py [--sizes 14,24]`.

For every generated term: each aim with its value and its bound, the seconds until a first sound plan, what
list scheduling alone leaves out, and at the end of a size its medians against what is to be reached.
On a busy machine `--free` counts seconds of two free cores: it lets the clock run and stops each search after
twice its seconds of processor.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from generated_terms import Spent, generated_term, machine, spending

from lessons.planners.term import Progress, TermPlan, TermProblem, check_plan, plan_term
from lessons.planners.term_aims import measure
from lessons.planners.term_first import first_plans
from lessons.planners.term_history import standing
from lessons.planners.term_reach import reach

FIRST_PLAN_SECONDS = 0.5
# How much longer by the clock a search may take that is stopped by its seconds of processor.
PATIENCE = 20


@dataclass(frozen=True)
class Size:
    """`most_gap`: how far `left_out` may lie above its bound; None where every aim is to be proved."""

    figures: int
    lessons: int
    minutes: int
    seconds: float
    most_gap: float | None


SIZES = (
    Size(14, 10, 60, 5, None),
    Size(24, 10, 60, 5, None),
    Size(40, 16, 90, 20, 0.03),
    Size(60, 16, 90, 30, 0.08),
    Size(160, 40, 90, 60, 0.10),
)


@dataclass(frozen=True)
class Run:
    plan: TermPlan
    spent: Spent
    first: float
    listed: list[int]


def run(problem: TermProblem, seconds: float, *, free: bool) -> Run:
    first: list[float] = []
    started, worked = time.perf_counter(), time.process_time()

    def on_progress(progress: Progress) -> None:
        if progress.aims and not first:
            first.append(progress.seconds)

    def has_worked_enough() -> bool:
        return free and time.process_time() - worked >= 2 * seconds

    with spending() as spent:
        plan = plan_term(
            problem,
            seconds=seconds * (PATIENCE if free else 1),
            on_progress=on_progress,
            should_stop=has_worked_enough,
        )
    first.append(time.perf_counter() - started)
    return Run(plan, spent, first[0], listed(problem))


def listed(problem: TermProblem) -> list[int]:
    """The aims, in rank, of the best plan by list scheduling alone."""
    state = standing(problem)
    found = [
        list(measure(problem, state, *plan).values())
        for plan in first_plans(problem, state, reach(problem, state))
        if not check_plan(problem, *plan)
    ]
    return min(found, default=[10**9])


def gap(plan: TermPlan) -> float:
    left_out = plan.aims[0]
    return (left_out.value - left_out.bound) / max(left_out.bound, 1)


def bench(size: Size, seeds: int, *, free: bool) -> None:
    runs = []
    for seed in range(1, seeds + 1):
        problem = generated_term(size.figures, size.lessons, size.minutes, seed)
        one = run(problem, size.seconds, free=free)
        runs.append(one)
        aims = "  ".join(f"{aim.name} {aim.value}/{aim.bound}" for aim in one.plan.aims)
        reached = [aim.value for aim in one.plan.aims]
        worse = "  WORSE THAN LIST SCHEDULING" if reached > one.listed else ""
        print(
            f"{size.figures:3} x {size.lessons} seed {seed}: {one.plan.status:8} in {one.spent}, "
            f"first {one.first:.2f} s  {aims}  (list scheduling {one.listed[0]}, {one.listed[2]}){worse}",
            flush=True,
        )
    print(f"{size.figures:3} x {size.lessons}: {'; '.join(verdicts(size, runs))}; {machine()}\n", flush=True)


def verdicts(size: Size, runs: list[Run]) -> list[str]:
    first = statistics.median(one.first for one in runs)
    told = [_said(f"first plan {first:.2f} s", first <= FIRST_PLAN_SECONDS)]
    if size.most_gap is None:
        proven = sum(one.plan.status == "optimal" for one in runs)
        told.append(_said(f"{proven} of {len(runs)} proved in {size.seconds:.0f} s", 2 * proven > len(runs)))
    else:
        middle = statistics.median(gap(one.plan) for one in runs)
        told.append(_said(f"left_out {middle:.1%} above its bound", middle <= size.most_gap))
    return told


def _said(what: str, is_reached: bool) -> str:
    return f"{what}: {'reached' if is_reached else 'NOT REACHED'}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--sizes", help="numbers of figures, e.g. 14,24; all if not given")
    parser.add_argument("--seconds", type=float, help="instead of each size's own")
    parser.add_argument("--free", action="store_true", help="count seconds of two free cores")
    options = parser.parse_args()
    asked = [int(part) for part in options.sizes.split(",")] if options.sizes else None
    for size in SIZES:
        if asked is None or size.figures in asked:
            seconds = options.seconds or size.seconds
            asked_size = Size(size.figures, size.lessons, size.minutes, seconds, size.most_gap)
            bench(asked_size, options.seeds, free=options.free)


if __name__ == "__main__":
    main()
