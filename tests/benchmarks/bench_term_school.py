"""A whole school at once: `python tests/benchmarks/bench_term_school.py [--courses 40] [--seconds 170]`.

Courses of 20 figures over 12 lessons of 60 minutes, planned side by side by one worker and by two. To reach:
40 courses in under three minutes on two cores with two workers. Each worker is one thread of the solver.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from generated_terms import generated_term, machine, spending

from lessons.planners.term import check_plan, plan_school

SIZE = (20, 12, 60)


def bench(courses: int, seconds: float, workers: int) -> None:
    problems = {f"course {seed}": generated_term(*SIZE, seed=seed) for seed in range(1, courses + 1)}
    with spending() as spent:
        plans = plan_school(problems, seconds=seconds, workers=workers)
    unsound = sum(
        bool(check_plan(problems[name], plan.introductions, plan.reviews)) for name, plan in plans.items()
    )
    proved = sum(plan.status == "optimal" for plan in plans.values())
    told = []
    for place, aim in enumerate(plans["course 1"].aims):
        open_by = [plan.aims[place].value - plan.aims[place].bound for plan in plans.values() if plan.aims]
        shut = sum(distance == 0 for distance in open_by)
        told.append(
            f"{aim.name} {shut} proved, else {sum(open_by) / max(1, courses - shut):.1f} above its bound"
        )
    print(
        f"{workers} worker(s): {courses} courses in {spent}; {proved} best possible, "
        f"{sum(not plan.introductions for plan in plans.values())} without a plan, {unsound} unsound; "
        f"{'; '.join(told)}; {machine()}",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--courses", type=int, default=40)
    parser.add_argument("--seconds", type=float, default=170.0)
    parser.add_argument("--workers", help="e.g. 1,2; both if not given", default="1,2")
    options = parser.parse_args()
    for workers in options.workers.split(","):
        bench(options.courses, options.seconds, int(workers))


if __name__ == "__main__":
    main()
