"""What has gone wrong by itself: plans that no longer hold, routines that no longer join or cannot be danced
on their night."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from curriculum.models import FigureVersion, Routine, RoutineVersion
from curriculum.problems import floors_of, items_of, words_of
from curriculum.rules.chain import Passage as Danced
from curriculum.rules.chain import check_routine
from lessons.courses.verdicts import Verdict
from lessons.models import Course
from lessons.planners.term_values import Finding
from lessons.problems.wording import spoken_day


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


def troubled_plans(
    courses: Iterable[Course], found: Mapping[int, Verdict]
) -> Iterator[tuple[Course, tuple[Finding, ...]]]:
    """Courses whose published plan breaks something as it stands today, each thing once. No query.

    Reads `course.published`, a list of the plan or nothing; `found`: the verdicts of those plans.
    """
    for course in courses:
        for plan in course.published:
            if faults := found[plan.pk].faults:
                yield course, faults


def undanceable_routines(
    courses: Iterable[Course], found: Mapping[int, Verdict]
) -> Iterator[tuple[Course, str]]:
    """Courses whose published plan leaves a routine undanceable on its night, though its joins hold, with
    each such sentence. No query."""
    for course in courses:
        for plan in course.published:
            for sentence in found[plan.pk].nights:
                yield course, sentence
