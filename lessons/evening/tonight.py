"""What one lesson holds: what is planned, what an earlier one left unfinished, what was done last time.

Read from the published plan and from the records; the run-sheet gives it minutes, the record form asks what
became of it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, prefetch_related_objects

from curriculum.models import Caution, Fault, Figure, Prerequisite
from curriculum.rules.syllabus import teaching_order
from lessons.courses.knowledge import known_figures
from lessons.models import (
    LessonSession,
    Outcome,
    PlanIntroduction,
    PlannedSheet,
    PlanReview,
    PlanStatus,
    RecordedFigure,
    TermPlan,
)
from lessons.rules.segments import share
from school.clock import today

NEW, AGAIN, CARRY = "new", "review", "carry"


@dataclass(frozen=True)
class Planned:
    """A figure tonight. how: "new", "review" or "carry", as the kinds of segment; part from 0, of `parts`.

    new_before: it comes again, and the lesson it is new in lies before this one and is still to come;
    unwritten: or it is over and not written up: its day.
    """

    figure: Figure
    how: str
    minutes: int
    part: int = 0
    parts: int = 1
    new_before: bool = False
    unwritten: dt.date | None = None

    @property
    def key(self) -> str:
        return self.figure.name

    @property
    def is_last_part(self) -> bool:
        return self.part == self.parts - 1


@dataclass(frozen=True)
class LastTime:
    """The last lesson before this one that has a record, and what the record says."""

    lesson: LessonSession
    figures: tuple[RecordedFigure, ...]

    @property
    def note(self) -> str:
        return self.lesson.record.note

    def with_outcome(self, *outcomes: str) -> list[RecordedFigure]:
        return [row for row in self.figures if row.outcome in outcomes]


@dataclass(frozen=True)
class Tonight:
    """plan: the published one. unrecorded: earlier lessons nobody has written up. taught: figure (pk)
    -> day, before this lesson. brought_forward: planned as new tonight, but recorded as taught earlier. kept:
    the sheet as it stood when the lesson was written up; what was planned is read from there. previous,
    following: the course's lessons before and after it.
    """

    lesson: LessonSession
    plan: TermPlan | None
    planned: tuple[Planned, ...]
    brought_forward: tuple[Planned, ...]
    last: LastTime | None
    unrecorded: tuple[LessonSession, ...]
    taught: dict[int, dt.date]
    known: frozenset[int]
    is_first: bool
    is_last: bool
    is_recorded: bool
    kept: dict[str, Any] | None = None
    previous: LessonSession | None = None
    following: LessonSession | None = None

    def of(self, how: str) -> tuple[Planned, ...]:
        return tuple(item for item in self.planned if item.how == how)


def tonight_of(lesson: LessonSession) -> Tonight:
    """All the lesson holds. A constant number of queries, at most thirteen, whatever the course's size."""
    lessons = _lessons_of_course(lesson)
    earlier = [row for row in lessons if _when(row) < _when(lesson)]
    recorded = _recorded_before(lesson)
    taught = _first_taught(recorded)
    kept = _kept(lesson, lessons)
    introduced = [] if kept else _new(lesson)
    if kept:
        planned = _planned_then(kept)
    else:
        new = [item for item in introduced if item.figure.pk not in taught]
        carry = _carried(lesson, lessons, recorded, taken={item.figure.pk for item in new})
        taken = {item.figure.pk for item in (*new, *carry)}
        again = [item for item in _again(lesson) if item.figure.pk not in taken]
        planned = (*again, *carry, *new)
    prefetch_related_objects(
        [item.figure for item in planned],
        Prefetch("faults", Fault.objects.order_by("position", "pk")),
        Prefetch("cautions", Caution.objects.order_by("position", "pk")),
    )
    return Tonight(
        lesson=lesson,
        plan=_published_plan(lesson),
        planned=planned,
        brought_forward=tuple(item for item in introduced if item.figure.pk in taught),
        last=_last_time(earlier, recorded),
        unrecorded=tuple(row for row in earlier if not has_record(row) and row.date <= today()),
        taught=taught,
        known=frozenset(known_figures(lesson.course)),
        is_first=not earlier,
        is_last=lessons[-1:] == [lesson],
        is_recorded=_is_recorded(lesson, lessons),
        kept=kept,
        previous=earlier[-1] if earlier else None,
        following=next((row for row in lessons if _when(row) > _when(lesson)), None),
    )


def has_record(lesson: LessonSession) -> bool:
    """Whether somebody wrote up what was done. A query, unless the record was fetched with the lesson."""
    return hasattr(lesson, "record")


def part_minutes(whole: int, part: int, parts: int) -> int:
    """Minutes of one part: split evenly, larger parts first."""
    return share(whole, [1] * parts)[part]


def minutes_owed(row: RecordedFigure, *, lessons: int = 1) -> int:
    """What the record says is still needed; where it is silent, the minutes to introduce less an even share
    for each of the `lessons` that have worked on it, as if one lesson more finishes it."""
    return row.minutes_owed or max(1, part_minutes(row.figure.minutes_to_introduce, lessons, lessons + 1))


def _when(lesson: LessonSession) -> tuple[dt.date, dt.time, int]:
    return lesson.date, lesson.start, lesson.pk


def _published_plan(lesson: LessonSession) -> TermPlan | None:
    plan = (
        TermPlan.objects.filter(course=lesson.course_id, status=PlanStatus.PUBLISHED).order_by("pk").first()
    )
    if plan:
        plan.course = lesson.course
    return plan


def _lessons_of_course(lesson: LessonSession) -> list[LessonSession]:
    """Lessons of the course that take place, in order, each with its record."""
    return list(
        LessonSession.objects.filter(course=lesson.course_id).given().select_related("record").in_order()
    )


def _recorded_before(lesson: LessonSession) -> list[RecordedFigure]:
    """What the course's records of earlier lessons say, oldest first."""
    earlier = Q(record__lesson__date__lt=lesson.date) | Q(
        record__lesson__date=lesson.date, record__lesson__start__lt=lesson.start
    )
    rows = RecordedFigure.objects.filter(earlier, record__lesson__course=lesson.course_id)
    return list(
        rows.select_related("figure", "record__lesson").order_by(
            "record__lesson__date", "record__lesson__start", "pk"
        )
    )


def _first_taught(recorded: Iterable[RecordedFigure]) -> dict[int, dt.date]:
    taught: dict[int, dt.date] = {}
    for row in recorded:
        if row.outcome == Outcome.INTRODUCED:
            taught.setdefault(row.figure_id, row.record.lesson.date)
    return taught


def _kept(lesson: LessonSession, lessons: list[LessonSession]) -> dict[str, Any] | None:
    """What the sheet of a lesson said that is written up. A query, and only where it is."""
    if not _is_recorded(lesson, lessons):
        return None
    sheet = PlannedSheet.objects.filter(record__lesson=lesson).first()
    return sheet.said if sheet else None


def _is_recorded(lesson: LessonSession, lessons: list[LessonSession]) -> bool:
    return any(row == lesson and has_record(row) for row in lessons)


def _planned_then(kept: dict[str, Any]) -> tuple[Planned, ...]:
    """One query. A figure that has been taken out of the curriculum since is left out."""
    figures = Figure.objects.in_bulk([row["figure"] for row in kept["planned"]])
    return tuple(
        Planned(figures[row["figure"]], row["how"], row["minutes"], row["part"], row["parts"])
        for row in kept["planned"]
        if row["figure"] in figures
    )


def _new(lesson: LessonSession) -> list[Planned]:
    """Planned as new, each after what it needs the same evening."""
    rows = PlanIntroduction.objects.filter(
        lesson=lesson, plan_figure__plan__status=PlanStatus.PUBLISHED
    ).select_related("plan_figure__figure__level")
    items = {}
    of_figure = "plan_figure__figure"
    for row in rows.order_by(f"{of_figure}__level__rank", f"{of_figure}__order", f"{of_figure}_id"):
        figure, parts = row.plan_figure.figure, row.plan_figure.parts
        minutes = part_minutes(figure.minutes_to_introduce, row.part, parts)
        items[figure.pk] = Planned(figure, NEW, minutes, row.part, parts)
    return [items[pk] for pk in _in_order(items)]


def _in_order(items: dict[int, Planned]) -> tuple[int, ...]:
    """A query, and only for several."""
    if len(items) < 2:
        return tuple(items)
    needs: dict[int, set[int]] = {pk: set() for pk in items}
    pairs = Prerequisite.objects.filter(figure__in=items, needs__in=items).order_by()
    for figure, needed in pairs.values_list("figure", "needs"):
        needs[figure].add(needed)
    ranks = {pk: (item.figure.level.rank, item.figure.order) for pk, item in items.items()}
    return teaching_order({pk: frozenset(needed) for pk, needed in needs.items()}, ranks)


def _again(lesson: LessonSession) -> list[Planned]:
    rows = (
        PlanReview.objects.filter(lesson=lesson, plan_figure__plan__status=PlanStatus.PUBLISHED)
        .select_related("plan_figure__figure")
        .annotate(
            new_before=Exists(_to_come_before(lesson).filter(plan_figure=OuterRef("plan_figure"))),
            unwritten=_unwritten_before(lesson)
            .filter(plan_figure=OuterRef("plan_figure"))
            .values("lesson__date")[:1],
        )
        .order_by("plan_figure__figure__level__rank", "plan_figure__figure__order", "pk")
    )
    return [
        Planned(
            figure,
            AGAIN,
            max(figure.minutes_to_review, 1),
            new_before=row.new_before,
            unwritten=row.unwritten,
        )
        for row in rows
        for figure in [row.plan_figure.figure]
    ]


def _to_come_before(lesson: LessonSession) -> QuerySet[PlanIntroduction]:
    """Introductions in lessons before this one that have not been held: no record can tell of them yet."""
    earlier = Q(lesson__date__lt=lesson.date) | Q(lesson__date=lesson.date, lesson__start__lt=lesson.start)
    return _without_record().filter(earlier, lesson__date__gte=today())


def _unwritten_before(lesson: LessonSession) -> QuerySet[PlanIntroduction]:
    """Introductions in lessons before this one that are over and not written up; the last first."""
    return _without_record().filter(lesson__date__lt=min(lesson.date, today())).order_by("-lesson__date")


def _without_record() -> QuerySet[PlanIntroduction]:
    return PlanIntroduction.objects.filter(lesson__record__isnull=True, lesson__cancelled_at__isnull=True)


def _carried(
    lesson: LessonSession, lessons: list[LessonSession], recorded: list[RecordedFigure], taken: set[int]
) -> list[Planned]:
    """Left unfinished and never introduced; owed by the next lesson to come, not by those after it."""
    if not _is_next(lesson, lessons):
        return []
    settled = {*_first_taught(recorded), *taken}
    begun: dict[int, list[RecordedFigure]] = {}
    for row in recorded:
        if row.outcome == Outcome.FINISH_LATER and row.figure_id not in settled:
            begun.setdefault(row.figure_id, []).append(row)
    return [
        Planned(rows[-1].figure, CARRY, minutes_owed(rows[-1], lessons=len(rows))) for rows in begun.values()
    ]


def _is_next(lesson: LessonSession, lessons: list[LessonSession]) -> bool:
    """The lesson was already begun or recorded, or no lesson lies between today and it."""
    if lesson.date <= today():
        return True
    between = (row for row in lessons if today() <= row.date and _when(row) < _when(lesson))
    return all(has_record(row) for row in between)


def _last_time(earlier: list[LessonSession], recorded: list[RecordedFigure]) -> LastTime | None:
    last = next((row for row in reversed(earlier) if has_record(row)), None)
    if last is None:
        return None
    figures = tuple(row for row in recorded if row.record.lesson_id == last.pk)
    return LastTime(last, figures)
