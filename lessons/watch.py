"""What has gone wrong by itself: routines that no longer join, plans that no longer hold."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from curriculum.models import HoldChange, Routine, RoutineItem
from curriculum.problems import passage_of, words_of
from curriculum.rules.chain import CORNER, Floor, check_routine
from curriculum.rules.chain import RoutineItem as Item
from lessons.board.page import plan_faults
from lessons.models import Course
from lessons.planners.term_values import Finding
from lessons.problems import course_problems


def broken_routines(courses: Iterable[Course]) -> Iterator[tuple[Routine, str]]:
    """Routines danced by the courses in which a join is broken, with the first such sentence. Two queries.

    Reads `course.routine.level.dance`: fetch it with the courses.
    """
    routines = {course.routine_id: course.routine for course in courses if course.routine}
    items = _items_of(routines)
    floors = _floors(routine.level.dance_id for routine in routines.values())
    for pk, routine in routines.items():
        dance = routine.level.dance
        report = check_routine(
            items[pk],
            floor=Floor(floors[dance.pk]),
            taught=(),
            bar_beats=dance.beats_per_bar,
            phrase_bars=dance.bars_per_phrase,
            words=words_of(dance),
        )
        broken = [finding.sentence for finding in report.findings if finding.kind == "broken"]
        if broken:
            yield routine, broken[0]


def troubled_plans(courses: Iterable[Course]) -> Iterator[tuple[Course, tuple[Finding, ...]]]:
    """Courses whose published plan breaks something as it stands today, each thing once.

    As many queries as for one plan.

    Reads `course.published`, a list of the plan or nothing.
    """
    by_plan = {plan.pk: course for course in courses for plan in course.published}
    plans = [plan for course in by_plan.values() for plan in course.published]
    for problem in course_problems(plans) if plans else ():
        if found := plan_faults(problem):
            yield by_plan[problem.plan.pk], found


def _items_of(routines: Iterable[int]) -> dict[int, list[Item]]:
    rows = RoutineItem.objects.filter(routine__in=list(routines)).select_related(
        "passage__figure", "passage__entry_hold", "passage__exit_hold"
    )
    items: dict[int, list[Item]] = defaultdict(list)
    for row in rows.order_by("position"):
        items[row.routine_id].append(passage_of(row.passage) if row.passage else CORNER)
    return items


def _floors(dances: Iterable[int]) -> dict[int, dict[str, set[str]]]:
    """Dance (pk) -> its free changes: hold -> the holds it can turn into."""
    floors: dict[int, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    changes = HoldChange.objects.filter(hold__dance__in=set(dances))
    for dance, hold, into in changes.values_list("hold__dance", "hold__name", "into__name"):
        floors[dance][hold].add(into)
    return floors
