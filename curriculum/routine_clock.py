"""As of which moment a routine is looked at: with its level's figures, or with what a course knows then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from curriculum.models import Figure, Routine
from curriculum.routine_hooks import CourseClock, Moment, routine_clocks
from school.models import Person

LEVEL = "level"


@dataclass(frozen=True)
class ChosenMoment:
    """key, label: of the moment. known: figures the couple knows then. planned: those it learns after it and
    before it dances the routine. when: figure -> when, in words; nothing where no course was asked. new: what
    of the figures known the level or the course itself teaches."""

    key: str
    label: str
    known: frozenset[str]
    planned: frozenset[str] = frozenset()
    when: Mapping[str, str] = field(default_factory=dict)
    course: str = ""
    new: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Moments:
    """What may be chosen, as groups of (key, label), and what is. offered: all of them by key, in order;
    clocks: of the courses they come from."""

    groups: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    chosen: ChosenMoment
    offered: Mapping[str, ChosenMoment] = field(default_factory=dict)
    clocks: tuple[CourseClock, ...] = ()

    @property
    def is_choice(self) -> bool:
        return len(self.groups) > 1


def moments_of(routine: Routine, reader: Person, key: str = "") -> Moments:
    """The moments a reader may choose from, and the one of `key`. Where that is none of them: as of today in
    a course that dances it, or with the level's figures where no course does. A student has the level's only.

    One query, and those of the clocks.
    """
    clocks = _clocks(routine, reader) if reader.is_director or reader.is_instructor else []
    by_level = level_moment(routine)
    groups = [("", ((LEVEL, by_level.label),))]
    offered = {LEVEL: by_level}
    for clock in clocks:
        moments = (clock.now, *clock.lessons)
        groups.append((clock.name, tuple((moment.key, moment.label) for moment in moments)))
        offered |= {moment.key: _chosen(clock, moment) for moment in moments}
    usual = next((clock.now.key for clock in clocks if clock.dances_it), LEVEL)
    return Moments(tuple(groups), offered[key if key in offered else usual], offered, tuple(clocks))


def _clocks(routine: Routine, reader: Person) -> Sequence[CourseClock]:
    return [clock for clocks in routine_clocks for clock in clocks(routine, reader)]


def level_moment(routine: Routine) -> ChosenMoment:
    """Every figure of its level and those below counts as taught. One query."""
    level = routine.level
    rows = Figure.objects.filter(dance=level.dance_id, level__rank__lte=level.rank)
    names = rows.order_by().values_list("name", "level")
    known = frozenset(name for name, _ in names)
    own = frozenset(name for name, on in names if on == level.pk)
    return ChosenMoment(LEVEL, f"with every figure up to {level.name}", known, new=own)


def _chosen(clock: CourseClock, moment: Moment) -> ChosenMoment:
    return ChosenMoment(
        key=moment.key,
        label=moment.label,
        known=moment.known,
        planned=clock.night.known - moment.known,
        when=clock.when,
        course=clock.name,
        new=clock.new & moment.known,
    )
