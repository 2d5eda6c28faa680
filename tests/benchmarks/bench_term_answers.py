"""How soon a director is answered at 60 x 16: `python tests/benchmarks/bench_term_answers.py`.

Where a held figure may go (to reach: well under 100 ms), why a figure is where it is, why a term is
impossible (to reach: under 1 s), and what would undo that.
"""

from __future__ import annotations

import statistics
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from generated_terms import generated_term, machine, spending

from lessons.planners.places import places_for
from lessons.planners.term import TermPlan, TermProblem, plan_term
from lessons.planners.ways_out import ways_out
from lessons.planners.why_here import why_here

SIZE = (60, 16, 90)


def asking(problem: TermProblem, key: str, **demands: Any) -> TermProblem:
    figures = tuple(replace(one, **demands) if one.key == key else one for one in problem.figures)
    return replace(problem, figures=figures)


def impossible_terms(problem: TermProblem) -> Iterator[tuple[str, TermProblem]]:
    """A conflict of every kind, planted into an otherwise possible term."""
    child = next(figure for figure in problem.figures[30:] if figure.needs)
    need = min(child.needs)
    yield "a need and two pins", asking(asking(problem, need, pinned=5), child.key, pinned=5)
    yield "two dates", asking(problem, "figure 9", latest=2, earliest=4, required=True)
    yield "a barred pin", asking(problem, "figure 9", pinned=3, barred=frozenset({3}))
    pair = frozenset({"figure 7", "figure 8"})
    pinned = asking(problem, "figure 7", pinned=3)
    yield "together", replace(asking(pinned, "figure 8", pinned=4), together=(pair,))
    yield "apart", replace(asking(pinned, "figure 8", pinned=3), apart=(pair,))
    yield "too early for its chain", asking(problem, problem.figures[-1].key, latest=1, required=True)
    everything = tuple(replace(figure, required=True) for figure in problem.figures)
    yield "everything required", replace(problem, figures=everything)
    first, *others = problem.lessons
    yield "a lesson to be filled", replace(problem, lessons=(replace(first, min_minutes=75), *others))
    taught = replace(first, taught=frozenset())
    over = replace(problem, lessons=(taught, *others))
    yield "a date that is over", asking(over, "figure 9", latest=0, required=True)


def bench_touches(problem: TermProblem, plan: TermPlan) -> None:
    for name, ask in (("places of a held figure", places_for), ("why a figure is here", why_here)):
        times = []
        for figure in problem.figures:
            with spending() as spent:
                ask(problem, plan.introductions, plan.reviews, figure.key)
            times.append(1000 * spent.processor)
        print(f"{name}: median {statistics.median(times):.1f} ms, longest {max(times):.1f} ms of processor")


def bench_conflicts(problem: TermProblem) -> None:
    longest: list[tuple[float, str]] = []
    for name, term in impossible_terms(problem):
        with spending() as spent:
            answer = plan_term(term)
        with spending() as undoing:
            ways = ways_out(term, answer.conflict, seconds=5)
        longest.append((spent.processor, name))
        print(
            f"{name}: {answer.status}, {len(answer.conflict)} reasons in {spent}; "
            f"{sum(way.plan is not None for way in ways)} of {len(ways)} ways out lead on, {undoing}",
            flush=True,
        )
    seconds, name = max(longest)
    print(f"the longest: {name}, {seconds:.2f} s of processor (to reach: under 1); {machine()}")


def main() -> None:
    problem = generated_term(*SIZE, seed=1)
    with spending() as spent:
        plan = plan_term(problem, seconds=5)
    print(f"a plan to ask about: {plan.status} in {spent}")
    bench_touches(problem, plan)
    bench_conflicts(problem)


if __name__ == "__main__":
    main()
