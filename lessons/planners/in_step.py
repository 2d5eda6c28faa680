"""Parallel courses are to introduce a figure in the same week: where they do not, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from .places import Place, place_for
from .term_history import standing
from .term_values import TermPlan, TermProblem
from .why_here import cost


@dataclass(frozen=True)
class OutOfStep:
    """`courses` introduce `key` in `lessons`, one in each; `sentence`: what stands in the way of either."""

    key: str
    courses: tuple[str, str]
    lessons: tuple[int, int]
    sentence: str


def out_of_step(
    problems: Mapping[str, TermProblem], ties: Iterable[tuple[str, str]], plans: Mapping[str, TermPlan]
) -> tuple[OutOfStep, ...]:
    """Every figure that tied courses introduce in different lessons, by the plans as they stand.

    What both have taught already is past and not told.
    """
    return tuple(apart for tie in ties for apart in _of_tie(problems, tie, plans))


def _of_tie(
    problems: Mapping[str, TermProblem], tie: tuple[str, str], plans: Mapping[str, TermPlan]
) -> Iterator[OutOfStep]:
    one, other = (plans[course].introductions for course in tie)
    settled = [standing(problems[course]).taught for course in tie]
    for key, at in one.items():
        if key not in other or other[key] == at or all(key in taught for taught in settled):
            continue
        lessons = (at, other[key])
        told = [
            f"{key} is new in lesson {lessons[0] + 1} in {tie[0]} and in lesson {lessons[1] + 1} in {tie[1]}."
        ]
        for course, taught, wished in zip(tie, settled, reversed(lessons), strict=True):
            if key in taught:
                told.append(f"In {course} it has been taught.")
            elif wished >= len(problems[course].lessons):
                told.append(f"{course} has no lesson {wished + 1}.")
            else:
                plan = plans[course]
                place = place_for(problems[course], plan.introductions, plan.reviews, key, wished)
                told.append(_why_not(course, place))
        yield OutOfStep(key, tie, lessons, " ".join(told))


def _why_not(course: str, place: Place) -> str:
    lesson = (place.index or 0) + 1
    if place.allowed:
        return f"{course} could have it in lesson {lesson}, by itself: {cost(place)}."
    return f"In lesson {lesson} of {course}: {place.sentence}"
