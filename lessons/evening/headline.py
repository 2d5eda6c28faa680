"""An evening in one line: what is new, what is carried over, what comes again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from curriculum.models import Figure
from lessons.evening.tonight import AGAIN, CARRY, NEW, Planned
from lessons.models import (
    LessonSession,
    Outcome,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
)
from lessons.problems.wording import spoken_list

WORDS = {NEW: "New", CARRY: "Carry over", AGAIN: "Again"}


@dataclass(frozen=True)
class HeadPart:
    """how: as the kinds of segment; said: "left side pass, 18 min"."""

    how: str
    said: str


def headline(planned: Sequence[Planned], minutes: Mapping[tuple[str, int], int]) -> tuple[HeadPart, ...]:
    """What is new first. `minutes`: (how, figure) -> its minutes on the sheet, where it has a place there."""
    parts = []
    for how in WORDS:
        said = [_with_minutes(item, minutes) for item in planned if item.how == how]
        if said:
            parts.append(HeadPart(how, spoken_list(said)))
    return tuple(parts)


def _with_minutes(item: Planned, minutes: Mapping[tuple[str, int], int]) -> str:
    given = minutes.get((item.how, item.figure.pk))
    return f"{item.key}, {given} min" if given and item.how != AGAIN else item.key


def headlines(lessons: Iterable[LessonSession]) -> dict[int, tuple[HeadPart, ...]]:
    """Lesson (pk) -> its line, without minutes, for lessons that are the next of their course. Three queries
    for any number of lessons; none for none."""
    wanted = list(lessons)
    if not wanted:
        return {}
    new = _figures_by_lesson(PlanIntroduction.objects.filter(lesson__in=wanted))
    again = _figures_by_lesson(PlanReview.objects.filter(lesson__in=wanted))
    rows = RecordedFigure.objects.filter(
        record__lesson__course__in={lesson.course_id for lesson in wanted},
        outcome__in=[Outcome.INTRODUCED, Outcome.FINISH_LATER],
    )
    recorded = list(rows.select_related("figure", "record__lesson").order_by("pk"))
    return {
        lesson.pk: headline(
            _planned(new.get(lesson.pk, []), again.get(lesson.pk, []), _before(lesson, recorded)), {}
        )
        for lesson in wanted
    }


def _figures_by_lesson(
    rows: QuerySet[PlanIntroduction] | QuerySet[PlanReview],
) -> dict[int, list[Figure]]:
    """Lesson (pk) -> the figures the published plan has there. One query."""
    found: dict[int, list[Figure]] = {}
    rows = rows.filter(plan_figure__plan__status=PlanStatus.PUBLISHED).select_related("plan_figure__figure")
    for row in rows.order_by("plan_figure__figure__level__rank", "plan_figure__figure__order", "pk"):
        found.setdefault(row.lesson_id, []).append(row.plan_figure.figure)
    return found


def _before(lesson: LessonSession, recorded: Iterable[RecordedFigure]) -> list[RecordedFigure]:
    """What earlier lessons of the same course are recorded to have done."""
    return [
        row
        for row in recorded
        for earlier in [row.record.lesson]
        if earlier.course_id == lesson.course_id
        and (earlier.date, earlier.start) < (lesson.date, lesson.start)
    ]


def _planned(
    new: Iterable[Figure], again: Iterable[Figure], before: Iterable[RecordedFigure]
) -> list[Planned]:
    """As `lessons.evening.tonight` sees it: what is taught already is not new; what was begun is carried
    over."""
    taught = {row.figure_id for row in before if row.outcome == Outcome.INTRODUCED}
    fresh = {figure.pk: figure for figure in new if figure.pk not in taught}
    begun = {
        row.figure_id: row.figure
        for row in before
        if row.outcome == Outcome.FINISH_LATER and row.figure_id not in taught | fresh.keys()
    }
    rest = [figure for figure in again if figure.pk not in fresh.keys() | begun.keys()]
    return [
        *(Planned(figure, NEW, 0) for figure in fresh.values()),
        *(Planned(figure, CARRY, 0) for figure in begun.values()),
        *(Planned(figure, AGAIN, 0) for figure in rest),
    ]
