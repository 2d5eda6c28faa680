"""The marks of the register: what was planned, and over it what the records say really happened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from lessons.board.values import Mark
from lessons.models import Outcome, PlanFigure, PlanIntroduction, RecordedFigure
from lessons.planners.term_values import FigureToTeach

# (figure, lesson), both by primary key
Place = tuple[int, int]

_DONE = {
    Outcome.INTRODUCED: Mark("new", state="done"),
    Outcome.FINISH_LATER: Mark("new", state="begun"),
    Outcome.REVIEWED: Mark("again", state="done"),
}


def planned_marks(
    plan_figures: Iterable[PlanFigure], figures: Mapping[str, FigureToTeach]
) -> dict[Place, list[Mark]]:
    """The plan's own marks. Introductions and reviews come prefetched; the first part is New, the rest
    is carried over. `figures`: the planner's view of them, by name."""
    marks: dict[Place, list[Mark]] = {}
    for row in plan_figures:
        figure = figures.get(row.figure.name)
        for introduction in row.introductions.all():
            mark = _introduction(row, introduction, figure)
            marks.setdefault((row.figure_id, introduction.lesson_id), []).append(mark)
        minutes = figure.review_minutes if figure else row.figure.minutes_to_review
        for review in row.reviews.all():
            marks.setdefault((row.figure_id, review.lesson_id), []).append(Mark("again", minutes))
    return marks


def _introduction(row: PlanFigure, introduction: PlanIntroduction, figure: FigureToTeach | None) -> Mark:
    shares = figure.part_minutes() if figure else (row.figure.minutes_to_introduce,)
    minutes = shares[introduction.part] if introduction.part < len(shares) else 0
    if introduction.part:
        return Mark("carry", minutes)
    is_pinned = row.pinned_id == introduction.lesson_id
    return Mark("new", minutes, is_pinned=is_pinned)


def marks_with_records(
    planned: Mapping[Place, list[Mark]],
    records: Iterable[RecordedFigure],
    recorded_lessons: Iterable[int],
) -> dict[Place, tuple[Mark, ...]]:
    """Where a lesson has a record, the record speaks; what was planned and not done stays as missed,
    which weighs nothing."""
    recorded = frozenset(recorded_lessons)
    marks = {place: (mark,) for place, mark in _told(records, planned).items()}
    for place, wished in planned.items():
        if place not in marks:
            missed = place[1] in recorded
            marks[place] = tuple(
                replace(mark, state="missed", minutes=0) if missed else mark for mark in wished
            )
    return marks


def _told(records: Iterable[RecordedFigure], planned: Mapping[Place, list[Mark]]) -> dict[Place, Mark]:
    told: dict[Place, Mark] = {}
    begun: set[int] = set()
    for row in sorted(records, key=lambda row: (row.record.lesson.date, row.record.lesson.start)):
        if row.outcome == Outcome.NOT_REACHED:
            continue
        place = (row.figure_id, row.record.lesson_id)
        wished = planned.get(place, ())
        mark = replace(_DONE[Outcome(row.outcome)], went=row.went)
        if mark.kind == "new":
            mark = replace(mark, kind="carry") if row.figure_id in begun else mark
            begun.add(row.figure_id)
        told[place] = replace(
            mark,
            minutes=sum(mark.minutes for mark in wished) or _usual_minutes(row),
            is_pinned=any(mark.is_pinned for mark in wished),
        )
    return told


def _usual_minutes(row: RecordedFigure) -> int:
    if row.outcome == Outcome.REVIEWED:
        return row.figure.minutes_to_review
    return max(row.figure.minutes_to_introduce - (row.minutes_owed or 0), 0)
