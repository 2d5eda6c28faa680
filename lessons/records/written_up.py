"""A lesson's record as its page shows it: what was done, who was there, who was missing."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.evening.cast import Cast
from lessons.models import LessonRecord, LessonSession
from lessons.people.first_names import first_names


@dataclass(frozen=True)
class WrittenUp:
    """there, missing: first names; missing are those who were enrolled on the day."""

    record: LessonRecord
    there: tuple[str, ...]
    missing: tuple[str, ...]


def written_up(lesson: LessonSession, cast: Cast) -> WrittenUp | None:
    """What was written up, or None. Up to four queries."""
    records = LessonRecord.objects.select_related("recorded_by")
    record = records.prefetch_related("figures__figure", "attendance__person").filter(lesson=lesson).first()
    if record is None:
        return None
    there = [row.person for row in record.attendance.all()]
    enrolled = [row.person for row in cast.enrolments]
    called = first_names({person.pk: person for person in (*there, *enrolled)}.values())
    keys = {person.pk for person in there}
    return WrittenUp(
        record=record,
        there=tuple(called[person.pk] for person in there),
        missing=tuple(called[person.pk] for person in enrolled if person.pk not in keys),
    )
