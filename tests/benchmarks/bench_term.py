"""How good and how fast the term planner is: run `python tests/benchmarks/bench_term.py [--seconds N]`.

Generated terms (seeded): introductions of 8 to 25 minutes, reviews of 4 to 6 after 1, 2 and 4 lessons with a
slack of 1, about 1.5 prerequisites a figure, at most 3 new figures a lesson and none in the last, 15 minutes
of every lesson fixed, importance 10 for four in ten and 1 to 5 for the rest. Then the published instances of
the balanced academic curriculum problem (CSPLib 30), where they are at hand, against a bare CP-SAT model.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ortools.sat.python import cp_model

from lessons.planners.term import FigureToTeach, LessonSlot, TermPlan, TermProblem, plan_term

BACP = Path(__file__).resolve().parents[3] / "shared" / "bacp"
SIZES = ((14, 10, 60), (20, 11, 60), (24, 10, 60), (40, 16, 90), (60, 16, 90), (160, 40, 90))
FIXED_MINUTES = 15


def generated_term(figures: int, lessons: int, minutes: int, seed: int) -> TermProblem:
    """A term of the kind described above; `minutes` is the length of a lesson."""
    dice = random.Random(seed)
    made = []
    for number in range(figures):
        wanted = min(number, dice.choice((0, 1, 2, 3)))
        made.append(
            FigureToTeach(
                f"figure {number}",
                dice.randint(8, 25),
                dice.randint(4, 6),
                needs=frozenset(f"figure {need}" for need in dice.sample(range(number), wanted)),
                order=number,
                importance=10 if dice.random() < 0.4 else dice.randint(1, 5),
                required=False,
            )
        )
    slots = tuple(
        LessonSlot(index, minutes - FIXED_MINUTES, max_new=3 if index < lessons - 1 else 0)
        for index in range(lessons)
    )
    return TermProblem(tuple(made), slots)


def timed_plan(problem: TermProblem, seconds: float) -> tuple[TermPlan, float, float]:
    """The plan, the seconds it took, and the seconds until a first sound plan was told."""
    first: list[float] = []
    started = time.perf_counter()

    def on_progress(progress: Any) -> None:
        if progress.aims and not first:
            first.append(time.perf_counter() - started)

    plan = plan_term(problem, seconds=seconds, on_progress=on_progress)
    return plan, time.perf_counter() - started, first[0] if first else float("nan")


def bench_generated(seconds: float, seeds: int) -> None:
    for figures, lessons, minutes in SIZES:
        times = []
        for seed in range(1, seeds + 1):
            plan, took, first = timed_plan(generated_term(figures, lessons, minutes, seed), seconds)
            times.append(took)
            aims = "  ".join(f"{aim.name} {aim.value}/{aim.bound}" for aim in plan.aims)
            name = f"{figures:3} x {lessons:2} seed {seed}"
            print(f"{name}: {plan.status:8} {took:6.2f} s, first {first:.2f} s  {aims}")
        print(f"{figures:3} x {lessons:2} median {statistics.median(times):.2f} s")


def curriculum_term(data: dict[str, Any]) -> TermProblem:
    needs: dict[str, set[str]] = {}
    for course, needed in data["prerequisites"]:
        needs.setdefault(course, set()).add(needed)
    return TermProblem(
        tuple(
            FigureToTeach(course["name"], course["load"], needs=frozenset(needs.get(course["name"], ())))
            for course in data["courses"]
        ),
        tuple(
            LessonSlot(index, data["max_load"], data["min_load"], data["max_count"], data["min_count"])
            for index in range(data["periods"])
        ),
    )


def bare_peak(data: dict[str, Any]) -> int:
    """The plainest CP-SAT model of the instance: what the planner is measured against."""
    model = cp_model.CpModel()
    periods = range(data["periods"])
    load = {course["name"]: course["load"] for course in data["courses"]}
    at = {name: model.new_int_var(0, data["periods"] - 1, name) for name in load}
    stands = {(name, period): model.new_bool_var("") for name in load for period in periods}
    peak = model.new_int_var(0, data["max_load"], "peak")
    for name in load:
        model.add_exactly_one(stands[name, period] for period in periods)
        model.add(sum(period * stands[name, period] for period in periods) == at[name])
    for course, needed in data["prerequisites"]:
        model.add(at[needed] < at[course])
    for period in periods:
        minutes = sum(load[name] * stands[name, period] for name in load)
        count = sum(stands[name, period] for name in load)
        model.add_linear_constraint(minutes, data["min_load"], data["max_load"])
        model.add_linear_constraint(count, data["min_count"], data["max_count"])
        model.add(minutes <= peak)
    model.minimize(peak)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False
    if solver.solve(model) != cp_model.OPTIMAL:
        raise RuntimeError("the bare model was not solved")
    return round(solver.objective_value)


def bench_curricula(seconds: float) -> None:
    planner, bare = 0.0, 0.0
    for path in sorted(BACP.glob("*.json")):
        data = json.loads(path.read_text(encoding="utf-8"))
        problem = curriculum_term(data)
        started = time.perf_counter()
        reference = bare_peak(data)
        alone = time.perf_counter() - started
        peak_told: list[float] = []
        started = time.perf_counter()

        def on_progress(progress: Any, started: float = started, told: list[float] = peak_told) -> None:
            if not told and any(aim.name == "peak" and 0 < aim.value == aim.bound for aim in progress.aims):
                told.append(time.perf_counter() - started)

        plan = plan_term(problem, seconds=seconds, on_progress=on_progress)
        took = time.perf_counter() - started
        planner, bare = planner + took, bare + alone
        peak = f"{peak_told[0]:.2f} s" if peak_told else "no time"
        aims = "  ".join(f"{aim.name} {aim.value}/{aim.bound}" for aim in plan.aims[3:])
        print(
            f"{path.stem:15} {plan.status:8} {took:6.2f} s ({aims}; peak proven by {peak}), "
            f"bare model {alone:.2f} s (peak {reference}, published {data['optimum']})"
        )
    print(f"all: planner with all five aims {planner:.2f} s, bare model of the peak alone {bare:.2f} s")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seeds", type=int, default=3)
    options = parser.parse_args()
    if BACP.is_dir():
        bench_curricula(options.seconds)
    bench_generated(options.seconds, options.seeds)


if __name__ == "__main__":
    main()
