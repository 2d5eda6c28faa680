"""Routines that cannot be danced on their night as a plan stands: which figure is missing, and when it comes.

A routine's night is the milestone that names it; for the course's own routine without one, the last lesson.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from curriculum.models import Routine
from curriculum.problems import floors_of, items_of, words_of
from curriculum.rules.chain import Floor, Passage, check_routine
from curriculum.rules.chain import RoutineItem as Item
from lessons.models import Milestone
from lessons.problems import CourseProblem, placements
from lessons.problems.answers import parts_to_come
from lessons.problems.wording import spoken_day, spoken_list


@dataclass(frozen=True)
class UndanceableNight:
    """sentence: names the night, its lesson, and the figures or the join. is_broken: it is a join."""

    routine: Routine
    sentence: str
    is_broken: bool


@dataclass(frozen=True)
class _Night:
    """index: of the last lesson up to it, -1 where there is none; said: "at the party (lesson 9, …)"."""

    routine: int
    index: int
    said: str


def undanceable_nights(problems: Sequence[CourseProblem]) -> dict[int, tuple[UndanceableNight, ...]]:
    """Plan (pk) -> what cannot be danced on its night. Four queries for any number of plans."""
    nights = _nights(problems)
    keys = {night.routine for found in nights.values() for night in found}
    routines = {
        row.pk: row for row in Routine.objects.filter(pk__in=keys).select_related("level__dance").order_by()
    }
    items = items_of(keys)
    floors = floors_of({row.level.dance_id for row in routines.values()})
    found: dict[int, tuple[UndanceableNight, ...]] = {}
    for problem in problems:
        known_when = _known_when(problem)
        told = []
        for night in nights[problem.plan.pk]:
            routine = routines[night.routine]
            missing = _missing(problem, night, known_when, items[routine.pk])
            broken = _broken(routine, items[routine.pk], floors[routine.level.dance_id])
            if said := missing or broken:
                sentence = f"{routine} cannot be danced {night.said}: {said}."
                told.append(UndanceableNight(routine, sentence, is_broken=not missing))
        found[problem.plan.pk] = tuple(told)
    return found


def _nights(problems: Sequence[CourseProblem]) -> dict[int, list[_Night]]:
    """By plan. One query."""
    courses = {problem.plan.course_id for problem in problems}
    stones: dict[int, list[Milestone]] = defaultdict(list)
    for stone in Milestone.objects.filter(course__in=courses, routine__isnull=False).order_by("day", "pk"):
        stones[stone.course_id].append(stone)
    return {problem.plan.pk: _nights_of(problem, stones[problem.plan.course_id]) for problem in problems}


def _nights_of(problem: CourseProblem, stones: Iterable[Milestone]) -> list[_Night]:
    lessons = problem.lessons
    nights = []
    for stone in stones:
        index = sum(lesson.date <= stone.day for lesson in lessons) - 1
        if index >= problem.first_to_come or not lessons:
            place = f" (lesson {index + 1}, {spoken_day(lessons[index].date)})" if index >= 0 else ""
            nights.append(_Night(stone.routine_id or 0, index, f"on the day of {stone.name}{place}"))
    own = problem.plan.course.routine_id
    if own is not None and lessons and own not in {stone.routine_id for stone in stones}:
        last = len(lessons) - 1
        said = f"in the last lesson (lesson {last + 1}, {spoken_day(lessons[last].date)})"
        nights.append(_Night(own, last, said))
    return nights


def _known_when(problem: CourseProblem) -> dict[str, int]:
    """Figure -> index of the lesson after which it is known; -1 for what was known before."""
    when = dict.fromkeys(problem.problem.known, -1)
    for key, first in placements(problem)[0].items():
        when[key] = first + parts_to_come(problem, key) - 1
    return when


def _missing(problem: CourseProblem, night: _Night, known_when: dict[str, int], items: Sequence[Item]) -> str:
    figures = dict.fromkeys(item.figure for item in items if isinstance(item, Passage))
    late = [key for key in figures if known_when.get(key, -1) > night.index]
    absent = [key for key in figures if key not in known_when]
    said = []
    for key in late:
        index = known_when[key]
        said.append(f"{key} is new only in lesson {index + 1}, {spoken_day(problem.lessons[index].date)}")
    if absent:
        said.append(f"{spoken_list(absent)} {'is' if len(absent) == 1 else 'are'} new in no lesson")
    return "; ".join(said)


def _broken(routine: Routine, items: Sequence[Item], floor: Floor) -> str:
    dance = routine.level.dance
    report = check_routine(
        items, floor=floor, taught=(), bar_beats=dance.beats_per_bar, words=words_of(dance)
    )
    reasons = (join.reason for join in report.joins if join.status == "broken")
    return next((f"a join of it doesn’t connect, for {reason}" for reason in reasons), "")
