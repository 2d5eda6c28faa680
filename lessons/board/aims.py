"""What a plan's aims come to as it stands."""

from __future__ import annotations

from lessons.planners.term_aims import measure
from lessons.planners.term_history import standing
from lessons.problems import CourseProblem, placements


def aims_of(problem: CourseProblem) -> dict[str, int]:
    """Aim -> value, in rank, of what lies inside the term. No query."""
    introductions, reviews = placements(problem)
    last = {figure.key: len(problem.lessons) - figure.parts for figure in problem.problem.figures}
    settled = standing(problem.problem)
    inside = {key: at for key, at in introductions.items() if settled.settled(key) or at <= last.get(key, -1)}
    # What comes again of a figure that stands in no lesson takes minutes too, as on the gauges.
    beyond = introductions.keys() - inside.keys()
    return measure(problem.problem, settled, inside, [one for one in reviews if one.key not in beyond])
