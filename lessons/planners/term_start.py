"""Where a search begins: where each figure could stand at all, the first plans, and what must be left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .term_check import check_plan
from .term_choice import choose
from .term_first import first_plans
from .term_reach import Reach, reach
from .term_values import TermProblem
from .term_watch import Course, Plan, Watch


class ImpossibleTermError(Exception):
    """No plan meets every demand."""


@dataclass(frozen=True)
class Start:
    """`reaches`: of each course; `chosen`: the same with only those figures for which there is room, None
    where that was not asked or not found."""

    reaches: tuple[Reach, ...]
    chosen: tuple[Reach, ...] | None = None


def start(watch: Watch, *, seed: int) -> Start:
    """Offer the first plans and raise the first bounds; raise an error if a course is proved impossible."""
    reaches = tuple(reach(course.problem, course.state) for course in watch.courses)
    _offer_first_plans(watch, reaches)
    if watch.proven("left_out") or watch.over():
        return Start(reaches)
    left_out, chosen = 0, []
    for course, possible in zip(watch.courses, reaches, strict=True):
        choice = choose(course.problem, course.state, possible, seed=seed)
        if choice is None:
            raise ImpossibleTermError
        left_out += choice.left_out
        chosen.append(possible if choice.keys is None else _only(possible, choice.keys))
    watch.raise_bound("left_out", left_out)
    if watch.proven("left_out"):
        return Start(reaches)
    _offer_first_plans(watch, chosen)
    return Start(reaches, tuple(chosen))


def _only(possible: Reach, keys: frozenset[str]) -> Reach:
    """The reach in which the figures not chosen have no lesson."""
    return replace(possible, lessons={key: at if key in keys else () for key, at in possible.lessons.items()})


def _offer_first_plans(watch: Watch, reaches: Sequence[Reach]) -> None:
    """The best first plan of every course; where they are to be in step, also the others like the first."""
    plans = [
        _best_first_plan(watch, course, possible)
        for course, possible in zip(watch.courses, reaches, strict=True)
    ]
    found = [plan for plan in plans if plan is not None]
    if len(found) < len(plans):
        return
    watch.offer(found)
    if watch.ties:
        watch.offer(_like_the_first(watch, reaches, found))


def _best_first_plan(watch: Watch, course: Course, possible: Reach) -> Plan | None:
    # A course by itself is offered each plan at once, so that its caller is shown one in no time.
    alone = watch if len(watch.courses) == 1 else Watch([course], watch.seconds_left())
    for introductions, reviews in first_plans(course.problem, course.state, possible):
        if not check_plan(course.problem, introductions, reviews):
            alone.offer([Plan(introductions, reviews)])
        if alone.best is not None and watch.over():
            break
    return alone.best.plans[0] if alone.best else None


def _like_the_first(watch: Watch, reaches: Sequence[Reach], plans: Sequence[Plan]) -> list[Plan]:
    """The first course's plan, and the others' by the rule that a figure goes where the first has it."""
    first, *others = plans
    alike = [first]
    for course, possible, own in zip(watch.courses[1:], reaches[1:], others, strict=True):
        wished = _wishing(course.problem, first.introductions)
        like = next(iter(first_plans(wished, course.state, possible)))
        alike.append(own if check_plan(course.problem, *like) else Plan(*like))
    return alike


def _wishing(problem: TermProblem, introductions: dict[str, int]) -> TermProblem:
    places = {f.key: introductions[f.key] for f in problem.figures if f.key in introductions}
    return replace(problem, previous=places)
