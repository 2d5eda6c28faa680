"""Parallel courses kept in step: a figure is new in the same week in each, so that a lesson missed in one can
be made up in the other."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

WEEK = dt.timedelta(weeks=1)


@dataclass(frozen=True)
class Evening:
    """One of the parallel courses. `taught`: figure -> the day it was new by the records; `planned`: figure
    -> the day it is to be new; `lessons`: the days of its lessons that take place."""

    name: str
    taught: Mapping[str, dt.date] = field(default_factory=dict)
    planned: Mapping[str, dt.date] = field(default_factory=dict)
    lessons: tuple[dt.date, ...] = ()


@dataclass(frozen=True)
class Ahead:
    """An evening has had figures which another, in a week of its own that is over, has not. `lessons`: in
    how many of its lessons it had them; `comes`: figure -> the day it is planned for on the other evening,
    or None."""

    evening: str
    behind: str
    lessons: int
    comes: tuple[tuple[str, dt.date | None], ...]

    @property
    def figures(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.comes)


def monday(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def ahead(one: Evening, other: Evening, *, today: dt.date) -> Ahead | None:
    """How far `one` is ahead of `other`; None where it is not.

    On Wednesday a course of Tuesdays is not ahead of one of Thursdays: a week counts once the other has had
    its lesson in it, or has none left in it.
    """
    missing = {
        name: day
        for name, day in one.taught.items()
        if name not in other.taught and name in other.planned and _is_over(other, monday(day), today)
    }
    if not missing:
        return None
    comes = ((name, other.planned.get(name)) for name in sorted(missing, key=lambda name: missing[name]))
    days = tuple((name, day if day and day >= today else None) for name, day in comes)
    return Ahead(one.name, other.name, len(set(missing.values())), days)


def in_different_weeks(
    one: Evening, other: Evening, *, today: dt.date
) -> Iterator[tuple[str, dt.date, dt.date]]:
    """Figures that are new in different weeks, with both days, unless both have had them, which is past
    mending, or one evening is said to be ahead of the other by them."""
    told = (ahead(one, other, today=today), ahead(other, one, today=today))
    left_out = {name for found in told if found for name in found.figures} | (
        one.taught.keys() & other.taught
    )
    here, there = {**one.planned, **one.taught}, {**other.planned, **other.taught}
    for name, day in sorted(here.items(), key=lambda row: row[1]):
        if name in there and name not in left_out and monday(there[name]) != monday(day):
            yield name, day, there[name]


def pairs(evenings: Iterable[Evening]) -> Iterator[tuple[Evening, Evening]]:
    """Each evening with each of the others, both ways."""
    rows = list(evenings)
    return ((one, other) for one in rows for other in rows if one is not other)


def _is_over(evening: Evening, week: dt.date, today: dt.date) -> bool:
    in_week = [day for day in evening.lessons if monday(day) == week]
    return week + WEEK <= today or (bool(in_week) and max(in_week) < today)
