"""The balanced academic curriculum problem, the published kernel of laying out a term.

Instances and proven optima: CSPLib problem 30 (Castro and Manzano 2001) and the MiniZinc benchmarks. A
course is a figure, its load the minutes, a period a lesson; the fullest period is to be as empty as can be.
"""

import json
from pathlib import Path

import pytest

from lessons.planners.term import FigureToTeach, LessonSlot, TermProblem, check_plan, plan_term

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "bacp"
INSTANCES = sorted(FOLDER.glob("*.json"))

pytestmark = pytest.mark.skipif(not INSTANCES, reason="the published instances are not at hand")


def as_term(data):
    needs = {}
    for course, needed in data["prerequisites"]:
        needs.setdefault(course, set()).add(needed)
    figures = [
        FigureToTeach(course["name"], course["load"], needs=needs.get(course["name"], ()))
        for course in data["courses"]
    ]
    lessons = [
        LessonSlot(
            index,
            data["max_load"],
            min_minutes=data["min_load"],
            max_new=data["max_count"],
            min_new=data["min_count"],
        )
        for index in range(data["periods"])
    ]
    return TermProblem(tuple(figures), tuple(lessons), ranks=("left_out", "moved", "late_reviews", "peak"))


@pytest.mark.parametrize("path", INSTANCES, ids=lambda path: path.stem)
def test_the_fullest_period_reaches_its_proven_optimum(path):
    data = json.loads(path.read_text(encoding="utf-8"))
    problem = as_term(data)
    answer = plan_term(problem, seconds=4)
    peak = next(aim for aim in answer.aims if aim.name == "peak")
    assert (peak.value, peak.bound) == (data["optimum"], data["optimum"])
    assert max(answer.minutes) == data["optimum"]
    assert check_plan(problem, answer.introductions) == ()


def test_all_thirteen_are_here():
    assert len(INSTANCES) == 13
