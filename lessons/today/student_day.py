"""What a student dances, the next first: lessons of their courses, to catch up, to help in, private ones."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lessons.models import CatchUp, HelperCall, PrivateLesson
from lessons.today.desk import StudentCourse

_NEVER = (dt.date.max, dt.time.max)


@dataclass(frozen=True)
class Dancing:
    """kind: "course", "visit", "call" or "private"; row: the StudentCourse, CatchUp, HelperCall or
    PrivateLesson; at: day and start."""

    kind: str
    row: Any
    at: tuple[dt.date, dt.time]


def in_order(
    *,
    courses: Iterable[StudentCourse],
    visits: Iterable[CatchUp],
    calls: Iterable[HelperCall],
    private: Iterable[PrivateLesson],
) -> list[Dancing]:
    """The next first; a course without a lesson to come last. No query."""
    found = [
        *(Dancing("private", row, (row.date, row.start)) for row in private),
        *(Dancing("visit", row, (row.lesson.date, row.lesson.start)) for row in visits),
        *(Dancing("call", row, (row.lesson.date, row.lesson.start)) for row in calls),
        *(Dancing("course", row, (row.next.date, row.next.start) if row.next else _NEVER) for row in courses),
    ]
    return sorted(found, key=lambda dancing: dancing.at)
