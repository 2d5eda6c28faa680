"""Two lessons at one time: of one course, in one room, or under one instructor.

Times are by the wall clock of the school, without a zone: two lessons clash if they share a minute on it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

DAY = dt.timedelta(days=1)


class Taken(StrEnum):
    """What is taken at that time."""

    COURSE = "course"
    ROOM = "room"
    INSTRUCTOR = "instructor"


@dataclass(frozen=True, slots=True)
class Booking:
    """A lesson, as hall and people are booked for it. `key`: None for one that is not written down yet.

    `course`: its key, None for a course that is new and for a private lesson; `instructors`: (key, name) of
    those in front of it; `room`: empty where none is booked; `private`: the key of a private lesson.
    """

    key: int | None
    course: int | None
    course_name: str
    begins: dt.datetime
    minutes: int
    room: str
    instructors: frozenset[tuple[int, str]] = frozenset()
    private: int | None = None

    @property
    def ends(self) -> dt.datetime:
        return self.begins + dt.timedelta(minutes=self.minutes)

    @property
    def takes(self) -> tuple[object, ...]:
        """The course, the room and the people that nobody else can have then."""
        course, room = (self.course,) if self.course is not None else (), (self.room,) if self.room else ()
        return (*course, *room, *self.instructors)

    @property
    def hours(self) -> str:
        """19:30 to 20:30."""
        return f"{self.begins:%H:%M} to {self.ends:%H:%M}"

    def overlaps(self, other: Booking) -> bool:
        return other.begins < self.ends and self.begins < other.ends

    def is_same(self, other: Booking) -> bool:
        """The one lesson, perhaps at another time."""
        written_down = (self.key, self.private) != (None, None)
        return written_down and (self.key, self.private) == (other.key, other.private)


@dataclass(frozen=True, slots=True)
class Clash:
    """`booking` cannot have what `other` has then. `who`: the course, the room's or the instructor's name."""

    taken: Taken
    who: str
    booking: Booking
    other: Booking


def clashes(booking: Booking, others: Iterable[Booking]) -> tuple[Clash, ...]:
    """Everything the lesson cannot have because another has it, earliest first."""
    found: list[Clash] = []
    for other in sorted(others, key=lambda one: one.begins):
        if not booking.overlaps(other) or booking.is_same(other):
            continue
        if booking.course is not None and booking.course == other.course:
            found.append(Clash(Taken.COURSE, other.course_name, booking, other))
        if booking.room and booking.room == other.room:
            found.append(Clash(Taken.ROOM, booking.room, booking, other))
        for _, name in sorted(booking.instructors & other.instructors):
            found.append(Clash(Taken.INSTRUCTOR, name, booking, other))
    return tuple(found)


def clashes_of_all(bookings: Iterable[Booking], others: Sequence[Booking]) -> tuple[Clash, ...]:
    """The clashes of each of `bookings` with any of `others`, in order of the bookings.

    Only those are compared that take something of the same, on the same day or on the days beside it: a late
    one may run past midnight.
    """
    shelves: dict[tuple[dt.date, object], list[tuple[dt.datetime, dt.datetime, int]]] = {}
    for place, other in enumerate(others):
        hours = (other.begins, other.ends, place)
        for thing in other.takes:
            shelves.setdefault((other.begins.date(), thing), []).append(hours)
    found: list[Clash] = []
    for booking in bookings:
        day, begins, ends = booking.begins.date(), booking.begins, booking.ends
        near = {
            place
            for thing in booking.takes
            for beside in (day - DAY, day, day + DAY)
            for other_begins, other_ends, place in shelves.get((beside, thing), ())
            if other_begins < ends and begins < other_ends
        }
        found.extend(clashes(booking, [others[place] for place in sorted(near)]))
    return tuple(found)
