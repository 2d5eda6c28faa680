"""A lesson's record as its page shows it: what was done, who was there, who was missing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lessons.evening.cast import Cast
from lessons.models import Enrolment, LessonRecord, LessonSession
from lessons.people.first_names import first_names


@dataclass(frozen=True)
class WrittenUp:
    """cast: in front as before, and who was there, in the roles they danced, enrolled or not. there, missing:
    first names; missing are those who were enrolled on the day."""

    record: LessonRecord
    cast: Cast
    there: tuple[str, ...]
    missing: tuple[str, ...]


def written_up(lesson: LessonSession, cast: Cast) -> WrittenUp | None:
    """What was written up, or None. Up to four queries."""
    records = LessonRecord.objects.select_related("recorded_by")
    record = records.prefetch_related("figures__figure", "attendance__person").filter(lesson=lesson).first()
    if record is None:
        return None
    attendance = record.attendance.all()
    there = [row.person for row in attendance]
    own_role = {row.person_id: row.role for row in cast.enrolments}
    danced = (
        Enrolment(
            course_id=lesson.course_id,
            person=row.person,
            role=row.role or own_role.get(row.person_id, ""),
            joined=lesson.date,
        )
        for row in attendance
    )
    enrolled = [row.person for row in cast.enrolments]
    called = first_names({person.pk: person for person in (*there, *enrolled)}.values())
    keys = {person.pk for person in there}
    return WrittenUp(
        record=record,
        cast=replace(cast, enrolments=tuple(danced)),
        there=tuple(called[person.pk] for person in there),
        missing=tuple(called[person.pk] for person in enrolled if person.pk not in keys),
    )
