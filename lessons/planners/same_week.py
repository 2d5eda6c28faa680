"""Parallel courses planned so that a figure is new in the same week in each, also where a lesson was lost.

`plan_school` keeps tied courses in step by the place of a lesson in its course. Where the courses do not meet
in the same weeks, each is laid on the weeks of all of them: a week in which it does not meet becomes a lesson
without room. What is planned there is carried back, and each course's reviews are then settled in its own
lessons, with the introductions where they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from .newcomers import once_more, settle_newcomers, settled
from .term_run import plan_term
from .term_school import plan_school
from .term_values import Aim, FigureToTeach, LessonSlot, TermPlan, TermProblem

Weeks = Sequence[int]
Slot = tuple[int, int]

SETTLE_SECONDS = 2.0


def plan_in_step(
    problems: Mapping[str, TermProblem],
    weeks: Mapping[str, Weeks],
    *,
    joining: Mapping[str, int | None],
    seconds: float,
    **how: Any,
) -> dict[str, TermPlan]:
    """Course -> its plan, as near in step as can be within about `seconds`.

    `weeks`: the week of each lesson, any rising numbers that the courses share. `joining`: as
    `plan_for_newcomers` takes it. `how`: as `plan_school` takes it. What stands in the same week in all of
    them already stays as it was planned before at the cost of a move; what stands apart may move freely.
    """
    slots = {course: slots_of(weeks[course]) for course in problems}
    common = sorted({slot for own in slots.values() for slot in own})
    loose = _loosened(problems, slots)
    laid = {course: lay_on(loose[course], slots[course], common) for course in problems}
    found = plan_school(laid, pairwise(laid), seconds=seconds, **how)
    stop = {name: how[name] for name in ("should_stop", "workers") if name in how}
    back = {}
    for course, problem in problems.items():
        plan = found[course]
        if laid[course] != loose[course]:
            plan = _carried_back(problem, slots[course], common, plan, joining[course], **stop)
        else:
            plan = settle_newcomers(problem, joining[course], plan, seconds=SETTLE_SECONDS, **stop)
        back[course] = plan
    return back


def slots_of(weeks: Weeks) -> tuple[Slot, ...]:
    """Each lesson as (week, which of that week's lessons)."""
    return tuple((week, list(weeks[:index]).count(week)) for index, week in enumerate(weeks))


def lay_on(problem: TermProblem, own: Sequence[Slot], common: Sequence[Slot]) -> TermProblem:
    """The problem with a lesson without room for each slot of `common` in which the course does not meet."""
    place = {slot: index for index, slot in enumerate(common)}
    at = [place[slot] for slot in own]
    first = next((at[slot.index] for slot in problem.lessons if slot.taught is None), len(common))
    lessons = [
        LessonSlot(index, 0, max_new=0, taught=frozenset() if index < first else None)
        for index in range(len(common))
    ]
    for slot in problem.lessons:
        lessons[at[slot.index]] = replace(slot, index=at[slot.index])
    previous = problem.previous
    return replace(
        problem,
        lessons=tuple(lessons),
        figures=tuple(_moved(figure, at) for figure in problem.figures),
        previous=None if previous is None else {key: at[index] for key, index in previous.items()},
    )


def _moved(figure: FigureToTeach, at: Sequence[int]) -> FigureToTeach:
    """Its demands in the common slots; what lies beyond the course's lessons stays beyond."""

    def there(index: int | None) -> int | None:
        if index is None or not at:
            return None
        return at[index] if 0 <= index < len(at) else at[-1] + 1 + index - len(at) if index > 0 else index

    barred = frozenset(at[index] for index in figure.barred if 0 <= index < len(at))
    return replace(
        figure,
        earliest=there(figure.earliest),
        latest=there(figure.latest),
        pinned=there(figure.pinned),
        barred=barred,
    )


def _loosened(
    problems: Mapping[str, TermProblem], slots: Mapping[str, Sequence[Slot]]
) -> dict[str, TermProblem]:
    """Without the earlier places of figures that stand apart: to bring them together they have to move."""
    stands = {
        course: {key: slots[course][index] for key, index in (problem.previous or {}).items()}
        for course, problem in problems.items()
    }
    apart = {
        key
        for one in stands.values()
        for key, slot in one.items()
        if any(key in other and other[key][0] != slot[0] for other in stands.values())
    }
    return {
        course: problem
        if problem.previous is None
        else replace(problem, previous={key: at for key, at in problem.previous.items() if key not in apart})
        for course, problem in problems.items()
    }


def _carried_back(
    problem: TermProblem,
    own: Sequence[Slot],
    common: Sequence[Slot],
    plan: TermPlan,
    joining: int | None,
    **how: Any,
) -> TermPlan:
    """The plan in the course's own lessons, with its reviews settled there."""
    if not plan.introductions:
        # Alone it may be possible, and if not, its conflict speaks of its own lessons.
        return plan_term(problem, seconds=SETTLE_SECONDS, **how)
    index_of = {common.index(slot): index for index, slot in enumerate(own)}
    introductions = {key: index_of[at] for key, at in plan.introductions.items()}
    due = once_more(problem, joining, introductions)
    fixed = settled(due, replace(plan, introductions=introductions))
    second = plan_term(fixed, seconds=SETTLE_SECONDS, **how)
    if not second.aims:
        return TermPlan("unknown")
    # Nothing is proved of the course in its own lessons by what was proved of it among the weeks of all.
    aims = tuple(Aim(aim.name, aim.value, 0) for aim in second.aims)
    return replace(second, status="feasible", aims=aims)
