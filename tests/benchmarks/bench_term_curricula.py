"""The published instances of the balanced academic curriculum problem (CSPLib 30) against a bare model.

`python tests/benchmarks/bench_term_curricula.py`: the planner proves all five aims of each, the bare CP-SAT
model the peak alone, in the same run. To reach: all proved, together in no more than twice the bare model's
time, each in under a second.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from generated_terms import machine, spending
from ortools.sat.python import cp_model

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, plan_term

BACP = Path(__file__).resolve().parents[3] / "shared" / "bacp"
MOST_TIMES, MOST_SECONDS = 2.0, 1.0


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


def main() -> None:
    paths = sorted(BACP.glob("*.json"))
    if not paths:
        print("The published instances are not at hand.")
        return
    planner, bare, longest, proved = 0.0, 0.0, 0.0, 0
    for path in paths:
        data = json.loads(path.read_text(encoding="utf-8"))
        problem = curriculum_term(data)
        with spending() as alone:
            reference = bare_peak(data)
        with spending() as spent:
            plan = plan_term(problem, seconds=10)
        planner, bare = planner + spent.processor, bare + alone.processor
        longest, proved = max(longest, spent.processor), proved + (plan.status == "optimal")
        aims = "  ".join(f"{aim.name} {aim.value}/{aim.bound}" for aim in plan.aims[3:])
        print(
            f"{path.stem:15} {plan.status:8} {spent}  {aims}; bare model {alone.processor:.2f} s "
            f"(peak {reference}, published {data['optimum']})"
        )
    print(
        f"{proved} of {len(paths)} proved; {planner:.2f} s of processor against {bare:.2f} s: "
        f"{planner / bare:.2f} times (at most {MOST_TIMES:.0f}), the longest {longest:.2f} s "
        f"(at most {MOST_SECONDS:.0f}); {machine()}"
    )


if __name__ == "__main__":
    main()
