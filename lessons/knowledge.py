"""What a course knows: levels below, what was recorded, what is ticked as taught before."""

from __future__ import annotations

import datetime as dt

from django.db.models import Min

from curriculum.models import Figure
from curriculum.problems import routine_report
from curriculum.rules.chain import RoutineReport
from lessons.models import Course, Outcome, RecordedFigure, TaughtBefore


def known_figures(course: Course) -> set[int]:
    """Figures (pk) the course brought with it on its first evening. Five queries.

    Those of the levels below its own, those recorded as introduced in the courses it continues (and in
    those they continue), and those ticked as taught before, to it or to them.
    """
    before = courses_before(course)
    recorded = RecordedFigure.objects.filter(
        record__lesson__course__in=before, outcome=Outcome.INTRODUCED
    ).values_list("figure", flat=True)
    ticked = TaughtBefore.objects.filter(course__in=[course.pk, *before]).values_list("figure", flat=True)
    return {*_figures_below(course), *recorded, *ticked}


def taught_in(course: Course, *, until: dt.date | None = None) -> dict[int, dt.date]:
    """Figure (pk) -> date of the first lesson of this course recorded as introducing it. One query.

    `until`: only lessons up to and with this day.
    """
    rows = RecordedFigure.objects.filter(record__lesson__course=course, outcome=Outcome.INTRODUCED)
    if until is not None:
        rows = rows.filter(record__lesson__date__lte=until)
    firsts = rows.order_by().values("figure").annotate(first=Min("record__lesson__date"))
    return {row["figure"]: row["first"] for row in firsts}


def danceable(course: Course, *, on: dt.date) -> RoutineReport | None:
    """The course's routine with what it knows and what was recorded up to `on`; None without a routine.

    `report.danceable` items from the start can be danced.
    """
    routine = course.routine
    if routine is None:
        return None
    keys = known_figures(course) | taught_in(course, until=on).keys()
    names = Figure.objects.filter(pk__in=keys).values_list("name", flat=True)
    return routine_report(routine, taught=frozenset(names))


def courses_before(course: Course) -> list[int]:
    """The courses (pk) this one continues, nearest first. One query for a chain of any length."""
    if course.continues_id is None:
        return []
    continues = dict(Course.objects.filter(dance=course.dance_id).values_list("pk", "continues"))
    chain: list[int] = []
    current = course.continues_id
    while current is not None and current not in chain and current != course.pk:
        chain.append(current)
        current = continues.get(current)
    return chain


def _figures_below(course: Course) -> set[int]:
    ranks = [level.rank for level in course.levels.all()]
    if not ranks:
        return set()
    below = Figure.objects.filter(dance=course.dance_id, level__rank__lt=min(ranks))
    return set(below.values_list("pk", flat=True))
