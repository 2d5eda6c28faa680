"""The term planner: which lesson introduces and reviews which figure, provably as good as can be.

This is the door; the rooms behind it are the `term_*` modules and `explain`.
"""

from .explain import without
from .term_check import check_plan
from .term_run import plan_term
from .term_school import plan_school
from .term_values import (
    Aim,
    FigureToTeach,
    Finding,
    LessonSlot,
    ProblemError,
    Progress,
    Reason,
    Review,
    TermPlan,
    TermProblem,
)

__all__ = [
    "Aim",
    "FigureToTeach",
    "Finding",
    "LessonSlot",
    "ProblemError",
    "Progress",
    "Reason",
    "Review",
    "TermPlan",
    "TermProblem",
    "check_plan",
    "plan_school",
    "plan_term",
    "without",
]
