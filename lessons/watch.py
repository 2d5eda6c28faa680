"""What has gone wrong by itself: plans that no longer hold, routines that no longer join or cannot be danced
on their night."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from curriculum.models import FigureVersion, Routine
from curriculum.problems import floors_of, items_of, words_of
from curriculum.rules.chain import Passage as Danced
from curriculum.rules.chain import check_routine
from lessons.board.page import plan_faults
from lessons.models import Course
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problems
from lessons.problems.wording import spoken_day
from lessons.routine_nights import undanceable_nights


def broken_routines(courses: Iterable[Course]) -> Iterator[tuple[Routine, str]]:
    """Routines danced by the courses in which a join is broken, with the first such sentence and, where a
    figure at it was changed, who changed it last. Three queries.

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
    changed = _last_changes(broken)
    for routine, sentence, figures in broken:
        yield routine, sentence + _cause(routine, figures, changed)


def _last_changes(
    broken: Sequence[tuple[Routine, str, tuple[str, ...]]],
) -> dict[tuple[int, str], FigureVersion]:
    """(dance, figure) -> its newest change that somebody made. One query, or none."""
    if not broken:
        return {}
    rows = FigureVersion.objects.filter(
        figure__dance__in={routine.level.dance_id for routine, _, _ in broken},
        figure__name__in={name for _, _, figures in broken for name in figures},
        by__isnull=False,
        version__gt=1,
    )
    rows = rows.select_related("figure", "by").order_by("at")
    return {(row.figure.dance_id, row.figure.name): row for row in rows}


def _cause(routine: Routine, figures: Iterable[str], changed: dict[tuple[int, str], FigureVersion]) -> str:
    """ " Hester Quayle changed whisk on Tuesday 3 March." Of the two at the join, the figure last changed."""
    found = (changed.get((routine.level.dance_id, name)) for name in figures)
    newest = max((row for row in found if row), key=lambda row: row.at, default=None)
    if newest is None or newest.by is None:
        return ""
    return f" {newest.by.name} changed {newest.figure.name} on {spoken_day(newest.at.date())}."


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
