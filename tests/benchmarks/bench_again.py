"""How long planning the rest of a term again takes: run `python tests/benchmarks/bench_again.py [--seeds N]`.

A generated term (tests/benchmarks/bench_term.py) is planned; then five lessons have been as planned, except
that one figure was not reached, and a later lesson is lost. Printed is the time until the proposals are
there, and what each moves and leaves out, with the bounds of its first three aims.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from lessons.planners.again import SECONDS, Again, plan_again
from lessons.planners.term import TermPlan, TermProblem, plan_term
from tests.benchmarks.bench_term import generated_term

SIZES = ((24, 10, 60), (40, 16, 90), (60, 16, 90))
BEEN = 5
LOST = 8


def came_between(problem: TermProblem, plan: TermPlan) -> tuple[TermProblem, str]:
    """The term after five lessons, and the figure which was not reached in the last of them."""
    lessons = list(problem.lessons)
    for index in range(BEEN):
        lessons[index] = replace(
            lessons[index],
            taught=frozenset(key for key, at in plan.introductions.items() if at == index),
            reviewed=frozenset(review.key for review in plan.reviews if review.index == index),
        )
    new = [(at, key) for key, at in plan.introductions.items() if at < BEEN]
    at, missed = max(new)
    lessons[at] = replace(lessons[at], taught=(lessons[at].taught or frozenset()) - {missed})
    lessons[LOST] = replace(lessons[LOST], minutes=0, max_new=0)
    return replace(problem, lessons=tuple(lessons)), missed


def timed(problem: TermProblem, plan: TermPlan) -> tuple[Again, float]:
    after, missed = came_between(problem, plan)
    stands = {key: at for key, at in plan.introductions.items() if key != missed}
    reviews = [review for review in plan.reviews if review.index >= BEEN and review.key != missed]
    began = time.perf_counter()
    found = plan_again(after, stands, reviews, seconds=SECONDS)
    return found, time.perf_counter() - began


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seeds", type=int, default=3)
    for figures, lessons, minutes in SIZES:
        times = []
        for seed in range(1, parser.parse_args().seeds + 1):
            problem = generated_term(figures, lessons, minutes, seed)
            found, took = timed(problem, plan_term(problem, seconds=8))
            times.append(took)
            for proposal in found.proposals:
                aims = "  ".join(f"{aim.name} {aim.value}/{aim.bound}" for aim in proposal.plan.aims[:3])
                print(f"{figures:3} x {lessons:2} seed {seed} {took:5.2f} s  {proposal.name:17}  {aims}")
        print(
            f"{figures:3} x {lessons:2} median {statistics.median(times):.2f} s, slowest {max(times):.2f} s"
        )


if __name__ == "__main__":
    main()
