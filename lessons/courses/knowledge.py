"""What a course knows: levels below, what was recorded, what is ticked as taught before."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence

from django.db.models import Min, QuerySet

from curriculum.models import Figure
from curriculum.problems import routine_report
from curriculum.rules.chain import RoutineReport
from lessons.models import Course, Outcome, RecordedFigure, TaughtBefore


def known_figures(course: Course) -> set[int]:
    """Figures (pk) the course brought with it on its first evening; see `known_by_course`."""
    return set(known_by_course([course])[course.pk])


def known_by_course(courses: Sequence[Course]) -> dict[int, dict[int, str]]:
    """Course (pk) -> the figures (pk -> name) it brought with it. At most four queries for any number.

    Those of the levels below its own, those recorded as introduced in the courses it continues (and in
    those they continue), and those ticked as taught before, to it or to them. One more query for each
    course whose `levels` were not fetched with it.
    """
    chains = chains_of(courses)
    figures = list(
        Figure.objects.filter(dance__in={course.dance_id for course in courses})
        .in_teaching_order()
        .values_list("pk", "name", "dance", "level__rank")
    )
    earlier = {pk for chain in chains.values() for pk in chain}
    taught = _pairs(
        RecordedFigure.objects.filter(record__lesson__course__in=earlier, outcome=Outcome.INTRODUCED),
        "record__lesson__course",
    )
    ticked = _pairs(TaughtBefore.objects.filter(course__in=earlier | chains.keys()), "course")
    known = {}
    for course in courses:
        brought = ticked[course.pk].union(*(taught[pk] | ticked[pk] for pk in chains[course.pk]))
        lowest = min((level.rank for level in course.levels.all()), default=0)
        known[course.pk] = {
            pk: name
            for pk, name, dance, rank in figures
            if dance == course.dance_id and (rank < lowest or pk in brought)
        }
    return known


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


def chains_of(courses: Sequence[Course]) -> dict[int, list[int]]:
    """Course (pk) -> the courses it continues, nearest first, however long the chain. One query."""
    dances = {course.dance_id for course in courses if course.continues_id is not None}
    continues = dict(Course.objects.filter(dance__in=dances).values_list("pk", "continues"))
    chains: dict[int, list[int]] = {}
    for course in courses:
        chain = chains[course.pk] = []
        current = course.continues_id
        while current is not None and current not in chain and current != course.pk:
            chain.append(current)
            current = continues.get(current)
    return chains


def _pairs(rows: QuerySet, course: str) -> dict[int, set[int]]:  # type: ignore[type-arg]
    """Course (pk) -> figures (pk)."""
    found: dict[int, set[int]] = defaultdict(set)
    for key, figure in rows.order_by().values_list(course, "figure"):
        found[key].add(figure)
    return found
