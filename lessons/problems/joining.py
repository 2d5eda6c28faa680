"""People may join a course until a lesson the director names."""

from __future__ import annotations

from lessons.problems.rows import CourseRows


def joining_lesson(rows: CourseRows) -> int | None:
    """Index of the last lesson in which somebody may be new, if it is to come and is not the first."""
    until = rows.course.newcomers_until
    if until is None:
        return None
    last = sum(lesson.date <= until for lesson in rows.lessons) - 1
    return last if last >= max(1, rows.first_to_come) else None
