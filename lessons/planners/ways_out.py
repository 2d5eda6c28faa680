"""What would undo a conflict? Each of its demands is given up as little as will do, tried, and costed.

A conflict is minimal, so giving up any one of its demands undoes it; but another conflict may lie beneath,
and then the way leads nowhere alone and says so. What a way costs is what the aims of the plan come to that
it makes possible.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, zip_longest

from .changes import Change, changed
from .least_change import least_changes
from .term_run import plan_courses
from .term_values import Aim, Reason, TermPlan, TermProblem

# What a director gives up most easily comes first, among ways that cost the same.
EASIEST_FIRST = (
    "pinned", "latest", "earliest", "barred", "least_minutes", "least", "most", "room", "apart", "together",
    "required", "need", "history",
)  # fmt: skip
# How many ways are tried; an overfull term has a reason for every figure and every lesson.
MOST_WAYS = 16


@dataclass(frozen=True)
class WayOut:
    """One change that was tried.

    `reason`: the demand of the conflict it gives way in; `sentence`: what to do and what comes of it;
    `plan`: the plan it makes possible, None if the term cannot be met by this change alone (or that was not
    found out in time).
    """

    reason: Reason
    change: Change
    sentence: str
    plan: TermPlan | None = None

    @property
    def aims(self) -> tuple[Aim, ...] | None:
        """What the aims come to; None where the way leads nowhere alone."""
        return self.plan.aims if self.plan else None


def ways_out(
    problem: TermProblem,
    conflict: Sequence[Reason],
    *,
    seconds: float = 5.0,
    should_stop: Callable[[], bool] | None = None,
) -> tuple[WayOut, ...]:
    """The ways out of a conflict of `plan_term`, the cheapest first, those that lead nowhere alone last.

    Takes about `seconds` at most, shared out evenly; what could not be tried in that time is not told. Where
    more is required than there is room for, no one demand undoes it: then the figures are told that are best
    left out together.
    """
    deadline = time.monotonic() + seconds
    reasons = _in_turn(conflict)
    ways: list[WayOut] = []
    for place, reason in enumerate(reasons):
        left = deadline - time.monotonic()
        if left <= 0 or (should_stop is not None and should_stop()):
            break
        ways.append(_try(problem, conflict, reason, left / (len(reasons) + 1 - place), should_stop))
    left = deadline - time.monotonic()
    if len(ways) == len(reasons) and left > 0 and not any(way.plan for way in ways):
        ways += _leaving_out(problem, conflict, left, should_stop)
    return tuple(sorted(ways, key=_cost))


def _leaving_out(
    problem: TermProblem,
    conflict: Sequence[Reason],
    seconds: float,
    should_stop: Callable[[], bool] | None,
) -> Iterator[WayOut]:
    """The figures that are best left out together, if nothing else stands in the way."""
    asked = next((reason for reason in conflict if reason.kind == "required"), None)
    required = tuple(figure.key for figure in problem.figures if figure.required)
    if asked is None or len(required) < 2:
        return
    optional = changed(problem, Change("required", required, ()))
    (plan,) = plan_courses(
        [optional], (), seconds=seconds, workers=1, seed=1, should_stop=should_stop, explains=False
    )
    left_out = tuple(key for key in plan.left_out if key in required)
    if plan.status in ("optimal", "feasible") and left_out:
        change = Change("required", left_out, ())
        yield WayOut(asked, change, _what(change), plan)


def _in_turn(conflict: Sequence[Reason]) -> list[Reason]:
    """The reasons that are tried: of each kind one, then of each kind another."""
    by_kind: dict[str, list[Reason]] = defaultdict(list)
    for reason in conflict:
        by_kind[reason.kind].append(reason)
    rows = [by_kind[kind] for kind in EASIEST_FIRST if kind in by_kind]
    mixed = chain.from_iterable(zip_longest(*rows))
    return [reason for reason in mixed if reason is not None][:MOST_WAYS]


def _try(
    problem: TermProblem,
    conflict: Sequence[Reason],
    reason: Reason,
    seconds: float,
    should_stop: Callable[[], bool] | None,
) -> WayOut:
    until = time.monotonic() + seconds
    change = Change(reason.kind, reason.keys, reason.lessons)
    for change in least_changes(problem, conflict, reason, seconds=seconds / 2):
        (plan,) = plan_courses(
            [changed(problem, change)],
            (),
            seconds=max(0.05, until - time.monotonic()),
            workers=1,
            seed=1,
            should_stop=should_stop,
            explains=False,
        )
        if plan.status in ("optimal", "feasible"):
            return WayOut(reason, change, " ".join(_sentences(change, plan)), plan)
        if plan.status == "unknown":
            return WayOut(
                reason, change, f"{_what(change)} Whether that is enough was not found out in time."
            )
    return WayOut(reason, change, f"{_what(change)} That alone is not enough.")


def _cost(way: WayOut) -> tuple[object, ...]:
    values = tuple(aim.value for aim in way.aims or ())
    return (
        way.plan is None,
        values,
        EASIEST_FIRST.index(way.reason.kind),
        way.reason.lessons,
        way.reason.keys,
    )


def _sentences(change: Change, plan: TermPlan) -> Iterator[str]:
    yield _what(change)
    key = change.keys[0] if change.keys else None
    if (
        key is None
        or len(change.keys) > 1
        or change.kind not in ("pinned", "earliest", "latest", "barred", "required")
    ):
        return
    if key in plan.introductions:
        yield f"Then it is new in lesson {plan.introductions[key] + 1}."
    elif key in plan.left_out:
        yield "Then it is left out."


def _what(change: Change) -> str:
    """What to do, in a sentence."""
    names = [str(key) for key in change.keys]
    if change.kind in ("together", "apart"):
        wish = "stand in different lessons" if change.kind == "together" else "share a lesson"
        return f"Let {_join(names)} {wish}."
    return _of_figure(change, names) if names else _of_lesson(change)


def _of_figure(change: Change, names: list[str]) -> str:
    name, value = names[0], change.value
    lesson = change.lessons[0] + 1 if change.lessons else 0
    match change.kind:
        case "pinned":
            return f"Do not keep {name} in lesson {lesson}."
        case "earliest" | "latest" if value is None:
            return f"Set {name} no date."
        case "earliest":
            return f"Let {name} begin as early as lesson {(value or 0) + 1}."
        case "latest":
            return f"Let {name} begin as late as lesson {(value or 0) + 1}."
        case "barred":
            return f"Let {name} begin in lesson {lesson}."
        case "required" if names[1:]:
            return f"Leave out {_join(names)}."
        case "required":
            return f"Let {name} be left out if it must."
        case "need" if value is None:
            return f"Teach {name} without {names[1]} before it."
        case "need":
            return f"Let {name} and {names[1]} share a lesson."
        case "least":
            return f"Ask for {value or 'no'} review{'' if value == 1 else 's'} of {name}."
    return f"If {name} has been taught, record it."


def _of_lesson(change: Change) -> str:
    value, lesson = change.value, change.lessons[0] + 1
    match change.kind:
        case "room" if value is None:
            return f"Give lesson {lesson} more room."
        case "room":
            some = f"{value} minute{'' if value == 1 else 's'} more"
            return f"Give {_lessons(change.lessons)} {some}{' each' if change.lessons[1:] else ''}."
        case "most" if value is None:
            return f"Let lesson {lesson} take more new figures."
        case "most":
            return f"Let lesson {lesson} take {value} new figure{'' if value == 1 else 's'}."
        case "least":
            return f"Ask for {value or 'no'} new figure{'' if value == 1 else 's'} in lesson {lesson}."
    return f"Ask for {value or 'no'} minutes at least in lesson {lesson}."


def _lessons(lessons: Sequence[int]) -> str:
    numbers = [lesson + 1 for lesson in lessons]
    if len(numbers) == 1:
        return f"lesson {numbers[0]}"
    if len(numbers) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"lessons {numbers[0]} to {numbers[-1]}"
    return f"lessons {_join([str(number) for number in numbers])}"


def _join(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
