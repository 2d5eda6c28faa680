"""What has gone wrong by itself: plans that no longer hold, routines that no longer join or cannot be danced
on their night."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils import timezone

from curriculum.models import FigureVersion, Routine, RoutineVersion
from curriculum.problems import floors_of, items_of, words_of
from curriculum.rules.chain import Passage as Danced
from curriculum.rules.chain import check_routine
from lessons.board.page import plan_faults
from lessons.models import Course
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problems
from lessons.problems.wording import spoken_day
from lessons.routine_nights import undanceable_nights


@dataclass(frozen=True)
class _Change:
    """Somebody changed something: what is said of it, and when it was."""

    said: str
    at: dt.datetime


def broken_routines(courses: Iterable[Course]) -> Iterator[tuple[Routine, str]]:
    """Routines danced by the courses in which a join is broken, with the first such sentence and who last
    changed the routine or a figure at the join. Four queries, two where nothing is broken.

    Reads `course.routine.level.dance`: fetch it with the courses.
    """
    routines = {course.routine_id: course.routine for course in courses if course.routine}
    items = items_of(routines)
    floors = floors_of(routine.level.dance_id for routine in routines.values())
    broken: list[tuple[Routine, str, tuple[str, ...]]] = []
    for pk, routine in routines.items():
        dance = routine.level.dance
        report = check_routine(
            items[pk], floor=floors[dance.pk], taught=(), bar_beats=dance.beats_per_bar, words=words_of(dance)
        )
        said = next((finding for finding in report.findings if finding.kind == "broken"), None)
        if said is not None and said.place is not None:
            danced = [item.figure for item in items[pk][: said.place + 1] if isinstance(item, Danced)]
            broken.append((routine, said.sentence, tuple(danced[-2:])))
    of_figures, of_routines = _changes_of_figures(broken), _changes_of_routines(broken)
    for routine, sentence, figures in broken:
        found = [of_figures.get((routine.level.dance_id, name)) for name in figures]
        last = max(filter(None, [*found, of_routines.get(routine.pk)]), key=lambda one: one.at, default=None)
        yield routine, f"{sentence} {last.said}" if last else sentence


_Broken = Sequence[tuple[Routine, str, tuple[str, ...]]]


def _changes_of_figures(broken: _Broken) -> dict[tuple[int, str], _Change]:
    """(dance, figure at a broken join) -> its newest change that somebody made. One query, or none."""
    if not broken:
        return {}
    rows = FigureVersion.objects.filter(
        figure__dance__in={routine.level.dance_id for routine, _, _ in broken},
        figure__name__in={name for _, _, figures in broken for name in figures},
        by__isnull=False,
        version__gt=1,
    )
    return {
        (row.figure.dance_id, row.figure.name): _change(row, row.figure.name)
        for row in rows.select_related("figure", "by").order_by("at")
    }


def _changes_of_routines(broken: _Broken) -> dict[int, _Change]:
    """Broken routine (pk) -> its newest change that somebody made. One query, or none."""
    if not broken:
        return {}
    rows = RoutineVersion.objects.filter(routine__in=[routine for routine, _, _ in broken], by__isnull=False)
    return {
        row.routine_id: _change(row, row.routine.name)
        for row in rows.select_related("routine", "by").order_by("version")
    }


def _change(row: FigureVersion | RoutineVersion, name: str) -> _Change:
    """ "Hester Quayle changed whisk on Tuesday 3 March." """
    who = row.by.name if row.by else "Somebody"
    return _Change(f"{who} changed {name} on {spoken_day(timezone.localtime(row.at).date())}.", row.at)


def published_problems(courses: Iterable[Course]) -> list[CourseProblem]:
    """The published plans' problems as they stand today. As many queries as for one plan.

    Reads `course.published`, a list of the plan or nothing.
    """
    plans = [plan for course in courses for plan in course.published]
    return course_problems(plans) if plans else []


def troubled_plans(
    courses: Iterable[Course], problems: Iterable[CourseProblem]
) -> Iterator[tuple[Course, tuple[Finding, ...]]]:
    """Courses whose published plan breaks something as it stands today, each thing once. No query."""
    by_plan = {plan.pk: course for course in courses for plan in course.published}
    for problem in problems:
        if found := plan_faults(problem):
            yield by_plan[problem.plan.pk], found


def undanceable_routines(
    courses: Iterable[Course], problems: Sequence[CourseProblem]
) -> Iterator[tuple[Course, str]]:
    """Courses whose published plan leaves a routine undanceable on its night, though its joins hold, with
    each such sentence. Four queries, or none without a plan."""
    by_plan = {plan.pk: course for course in courses for plan in course.published}
    for plan, nights in (undanceable_nights(problems) if problems else {}).items():
        for night in nights:
            if not night.is_broken:
                yield by_plan[plan], night.sentence
