"""What apps that know courses add to the pages of routines. They register when they are made ready."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from curriculum.hooks import RenderedSection
from curriculum.models import Routine
from school.models import Person


@dataclass(frozen=True)
class Moment:
    """A moment of a course. `key`: how an address names it; `label`: how a page does; `known`: names of the
    figures the couple knows then; `is_planned`: some of that is not recorded yet."""

    key: str
    label: str
    known: frozenset[str]
    is_planned: bool = False


@dataclass(frozen=True)
class CourseClock:
    """What one course knows when. `now`: as recorded so far; `lessons`: after each of its lessons, recorded
    so far, then planned; `night`: when it dances the routine. `when`: figure -> when it was or will be
    taught, in words; `new`: figures it did not bring along. `dances_it`: the routine is the course's own."""

    key: str
    name: str
    now: Moment
    lessons: tuple[Moment, ...]
    night: Moment
    when: Mapping[str, str]
    new: frozenset[str] = frozenset()
    dances_it: bool = True


RoutineClocks = Callable[[Routine, Person], Sequence[CourseClock]]
"""A routine and who reads its page -> the clocks of the courses it concerns, those that dance it first. The
number of queries does not depend on how many."""

RoutineNote = Callable[[Routine, Person], RenderedSection | None]
"""A routine and who reads its page -> a section about it, or None for nothing to say."""

routine_clocks: list[RoutineClocks] = []
routine_notes: list[RoutineNote] = []
