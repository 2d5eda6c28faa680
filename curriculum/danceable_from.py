"""From which lesson of each course a routine can be danced, whether the course is to dance it or not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from curriculum.routine_hooks import CourseClock
from curriculum.strip import RoutineStrip

_NAMED = 3
"""So many figures of a plan that lacks some are named."""


@dataclass(frozen=True)
class DanceableFrom:
    """course: its name. when: in words, "after lesson 6, Saturday 12 December (planned, may change)". is_so:
    it can be danced by the end of its term."""

    course: str
    when: str
    is_so: bool = True


def danceable_from(strip: RoutineStrip, clocks: Iterable[CourseClock]) -> tuple[DanceableFrom, ...]:
    """Nothing while the routine has no figure or a join in it is broken. No query."""
    if not strip.blocks or strip.broken:
        return ()
    figures = frozenset(block.name for block in strip.blocks)
    return tuple(_in_course(figures, clock) for clock in clocks)


def _in_course(figures: frozenset[str], clock: CourseClock) -> DanceableFrom:
    if figures <= clock.now.known:
        return DanceableFrom(clock.name, "today")
    first = next((moment for moment in clock.lessons if figures <= moment.known), None)
    if first is not None:
        return DanceableFrom(clock.name, first.label)
    last = clock.lessons[-1].known if clock.lessons else clock.now.known
    missing = list(_some(sorted(figures - last)))
    verb = "is" if len(figures - last) == 1 else "are"
    return DanceableFrom(
        clock.name, f"not this term: {', '.join(missing)} {verb} in no lesson’s plan", is_so=False
    )


def _some(names: list[str]) -> Iterator[str]:
    yield from names[:_NAMED]
    if len(names) > _NAMED:
        yield f"{len(names) - _NAMED} more"
