"""The marks of the register: what was planned, and over it what the records say really happened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from curriculum.models import Figure
from lessons.board.values import Mark
from lessons.evening.tonight import minutes_owed
from lessons.models import Outcome, PlanIntroduction, PlanReview, RecordedFigure
from lessons.planners.term_values import FigureToTeach

# (figure, lesson), both by primary key
Place = tuple[int, int]

_DONE = {
    Outcome.INTRODUCED: Mark("new", state="done"),
    Outcome.FINISH_LATER: Mark("new", state="begun"),
    Outcome.REVIEWED: Mark("again", state="done"),
}


def planned_marks(
    introductions: Iterable[PlanIntroduction],
    reviews: Iterable[PlanReview],
    figures: Mapping[str, FigureToTeach],
) -> dict[Place, list[Mark]]:
    """A plan's own marks. The rows come with their plan figures and figures; the first part is New, the rest
    is carried over. `figures`: the planner's view of them, by name."""
    marks: dict[Place, list[Mark]] = {}
    for introduction in introductions:
        place = (introduction.plan_figure.figure_id, introduction.lesson_id)
        marks.setdefault(place, []).append(_introduction(introduction))
    for review in reviews:
        figure = review.plan_figure.figure
        mark = Mark("again", _review_minutes(figure, figures))
        marks.setdefault((figure.pk, review.lesson_id), []).append(mark)
    return marks


def _review_minutes(figure: Figure, figures: Mapping[str, FigureToTeach]) -> int:
    """As the planner reckons; what no plan of this course teaches, by its own minutes."""
    planned = figures.get(figure.name)
    return planned.review_minutes if planned else figure.minutes_to_review


def _introduction(introduction: PlanIntroduction) -> Mark:
    row = introduction.plan_figure
    whole = row.figure.minutes_to_introduce
    shares = FigureToTeach(row.figure.name, whole, parts=max(1, min(row.parts, whole))).part_minutes()
    minutes = shares[introduction.part] if introduction.part < len(shares) else 0
    if introduction.part:
        return Mark("carry", minutes)
    return Mark("new", minutes, is_pinned=row.pinned_id == introduction.lesson_id)


def marks_with_records(
    planned: Mapping[Place, list[Mark]],
    records: Iterable[RecordedFigure],
    recorded_lessons: Iterable[int],
    figures: Mapping[str, FigureToTeach],
) -> dict[Place, tuple[Mark, ...]]:
    """Where a lesson has a record, the record speaks; what was planned and not done stays as missed,
    which weighs nothing."""
    recorded = frozenset(recorded_lessons)
    marks = {place: (mark,) for place, mark in _told(records, planned, figures).items()}
    for place, wished in planned.items():
        if place not in marks:
            missed = place[1] in recorded
            marks[place] = tuple(
                replace(mark, state="missed", minutes=0) if missed else mark for mark in wished
            )
    return marks


def _told(
    records: Iterable[RecordedFigure],
    planned: Mapping[Place, list[Mark]],
    figures: Mapping[str, FigureToTeach],
) -> dict[Place, Mark]:
    """What the records say, with minutes of their own: what was planned says nothing about what was done."""
    told: dict[Place, Mark] = {}
    begun: dict[int, int] = {}
    left: dict[int, int] = {}
    for row in sorted(records, key=lambda row: (row.record.lesson.date, row.record.lesson.start)):
        if row.outcome == Outcome.NOT_REACHED:
            continue
        place = (row.figure_id, row.record.lesson_id)
        mark = replace(_DONE[Outcome(row.outcome)], went=row.went)
        if mark.kind == "again":
            mark = replace(mark, minutes=_review_minutes(row.figure, figures))
        else:
            before = left.get(row.figure_id, row.figure.minutes_to_introduce)
            begun[row.figure_id] = begun.get(row.figure_id, 0) + 1
            owed = row.outcome == Outcome.FINISH_LATER
            left[row.figure_id] = minutes_owed(row, lessons=begun[row.figure_id]) if owed else 0
            kind = "new" if begun[row.figure_id] == 1 else "carry"
            mark = replace(mark, kind=kind, minutes=max(before - left[row.figure_id], 0))
        told[place] = replace(mark, is_pinned=any(mark.is_pinned for mark in planned.get(place, ())))
    return told
