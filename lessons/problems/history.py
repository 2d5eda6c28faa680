"""What the lessons that have been settle, as the planner reads history.

A recorded lesson settles what its record says. One without a record counts, for planning only, as taught
as planned in the published plan, and a note names it; so it does for what will be danceable
(`lessons.courses.course_clock`). For students and for what is danceable today it does not.
"""

from __future__ import annotations

from dataclasses import dataclass

from lessons.models import Outcome, PlanIntroduction, RecordedFigure
from lessons.planners.term_values import FigureToTeach
from lessons.problems.rows import CourseRows, has_record
from lessons.problems.wording import spoken_day


@dataclass(frozen=True)
class History:
    """Figures (pk) introduced and danced again per lesson that has been; minutes still owed; what to say."""

    taught: tuple[frozenset[int], ...]
    reviewed: tuple[frozenset[int], ...]
    unfinished: dict[int, int]
    names: dict[int, str]
    notes: tuple[str, ...]

    @property
    def introduced(self) -> frozenset[int]:
        return frozenset().union(*self.taught)


def read_history(rows: CourseRows) -> History:
    """Go through the lessons that have been, in order."""
    lessons = rows.lessons[: rows.first_to_come]
    taught, reviewed, notes = [], [], []
    worked_on: dict[int, list[int | None]] = {}
    planned = _as_planned(rows)
    for index, lesson in enumerate(lessons):
        if has_record(lesson):
            recorded = rows.recorded.get(lesson.pk, ())
            taught.append(_of(recorded, Outcome.INTRODUCED))
            # What was new before and is said to be new, or to be finished, once more was danced again.
            worked = _of(recorded, Outcome.INTRODUCED) | _of(recorded, Outcome.FINISH_LATER)
            again = worked & frozenset().union(*taught[:-1])
            reviewed.append(_of(recorded, Outcome.REVIEWED) | again)
            for row in recorded:
                if row.outcome == Outcome.FINISH_LATER:
                    worked_on.setdefault(row.figure_id, []).append(row.minutes_owed)
        else:
            taught.append(frozenset(row.figure for row in planned.get(index, ()) if row.is_last))
            reviewed.append(frozenset())
            for row in planned.get(index, ()):
                if not row.is_last:
                    worked_on.setdefault(row.figure, []).append(None)
            notes.append(
                f"The lesson of {spoken_day(lesson.date)} has no record: "
                "for planning it counts as taught as planned."
            )
    introduced = frozenset().union(*taught)
    return History(
        taught=tuple(taught),
        reviewed=tuple(reviewed),
        # Those who come to a drop-in evening were not there when it was begun.
        unfinished={} if rows.is_drop_in else _minutes_owed(rows, worked_on, introduced),
        names={row.figure_id: row.figure.name for found in rows.recorded.values() for row in found},
        notes=tuple(notes),
    )


@dataclass(frozen=True)
class _PlannedPart:
    figure: int
    is_last: bool


def _as_planned(rows: CourseRows) -> dict[int, list[_PlannedPart]]:
    """Lesson index -> the parts the published plan has there."""
    last_part: dict[int, PlanIntroduction] = {}
    for row in rows.published:
        last_part[row.plan_figure_id] = row
    index_of = rows.index_of
    planned: dict[int, list[_PlannedPart]] = {}
    for row in rows.published:
        if row.lesson_id in index_of:
            part = _PlannedPart(row.plan_figure.figure_id, row is last_part[row.plan_figure_id])
            planned.setdefault(index_of[row.lesson_id], []).append(part)
    return planned


def _of(recorded: tuple[RecordedFigure, ...], outcome: Outcome) -> frozenset[int]:
    return frozenset(row.figure_id for row in recorded if row.outcome == outcome)


def _minutes_owed(
    rows: CourseRows, worked_on: dict[int, list[int | None]], introduced: frozenset[int]
) -> dict[int, int]:
    """Figures begun and not finished -> the minutes still owed, at least 1.

    What the last record says; where it says nothing, the figure's minutes less an even share for each
    lesson that worked on it: split over its parts, or over one lesson more than have worked on it so far.
    """
    owed = {}
    for row in rows.plan_figures:
        said = worked_on.get(row.figure_id)
        if said is None or row.figure_id in introduced:
            continue
        minutes = row.figure.minutes_to_introduce
        split = FigureToTeach(row.figure.name, minutes, parts=max(row.parts, len(said) + 1))
        owed[row.figure_id] = said[-1] or max(1, sum(split.part_minutes()[len(said) :]))
    return owed
