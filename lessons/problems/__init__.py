"""The bridge between a course's rows and the term planner: rows -> a problem, an answer -> rows."""

from lessons.problems.answers import findings, write_placements
from lessons.problems.course import CourseProblem, course_problem, course_problems, problem_again
from lessons.problems.places import placements
from lessons.problems.room import teaching_minutes
from lessons.problems.wording import spoken_day

__all__ = [
    "CourseProblem",
    "course_problem",
    "course_problems",
    "findings",
    "placements",
    "problem_again",
    "spoken_day",
    "teaching_minutes",
    "write_placements",
]
