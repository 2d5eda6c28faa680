"""Whether a plan still does as it stands, and whether it is read the same as before."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict

from lessons.planners.term import check_plan
from lessons.planners.term_aims import owed_reviews
from lessons.planners.term_history import standing
from lessons.problems.course import CourseProblem
from lessons.problems.places import placements
from lessons.rules.ticks import kept_ticks


def needs_planning(problem: CourseProblem) -> bool:
    """Whether something is wrong with the plan, a figure lost its place, or one that went badly is not owed
    again as soon as it should. No query."""
    introductions, reviews = placements(problem)
    return bool(problem.lost or check_plan(problem.problem, introductions, reviews) or _owes_more(problem))


def reading(problem: CourseProblem) -> str:
    """A mark of all that the planner would be told, and of where the plan stands: equal as long as both are.
    No query."""
    introductions, reviews = placements(problem)
    said = {
        "asked": asdict(problem.to_plan),
        "joining": problem.joining,
        "lessons": [lesson.pk for lesson in problem.lessons],
        "introductions": introductions,
        "reviews": [[review.key, review.index] for review in reviews],
    }
    return hashlib.sha256(json.dumps(said, default=sorted, sort_keys=True).encode()).hexdigest()[:32]


def _owes_more(problem: CourseProblem) -> bool:
    """A figure taught, of which a record says how it went, has fewer reviews in reach than are owed."""
    asked, first = problem.to_plan, problem.first_to_come
    introductions, reviews = placements(problem)
    owed = owed_reviews(asked, standing(asked), introductions)
    for figure in asked.figures:
        if figure.review_after is None or introductions.get(figure.key, first) >= first:
            continue
        dues = owed.get(figure.key, ())
        ticked = [review.index for review in reviews if review.key == figure.key]
        answered = kept_ticks(ticked, dues, slack=asked.review_slack, after=first - 1, spared=len(dues))
        if len(answered) < len(dues):
            return True
    return False
