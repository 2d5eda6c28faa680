"""The weeks of a term's courses, as they were drawn last while what they were drawn from is the same.

A course's weeks on the term's page say as little as its verdict (`lessons.courses.verdicts`) and are made of
the same rows: they are kept with what the verdict was found in, and with the little they show besides.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from django.core.cache import caches

from lessons.board.then import OFFICIAL
from lessons.board.values import Week
from lessons.courses.verdicts import Verdict, rows_of_plans
from lessons.models import Course, TermPlan
from school.changes import marks
from school.clock import today
from school.models import Closure

Weeks = tuple[Week, ...]
Shown = Mapping[Course, TermPlan | None]
Draw = Callable[[Shown], Mapping[int, Weeks]]


def weeks_kept(
    shown: Shown, found: Mapping[int, Verdict], since: Mapping[str, str], draw: Draw
) -> dict[int, Weeks]:
    """Course (pk) -> its weeks, without the rows of their lessons. `shown`: the courses, with term and
    meetings at hand, and the plan shown of each, if any; `found`: the verdicts, by plan; `since`: the marks
    of before those were asked for; `draw`: makes the weeks that are not known, as always those of a course
    without a plan. At most ten queries besides, for any number of courses."""
    signs = _signs({one: plan for one, plan in shown.items() if plan and found[plan.pk].found_in}, found)
    places = {pk: f"weeks-{pk}" for pk in signs}
    kept = caches["verdicts"].get_many(places.values())
    known: dict[int, Weeks] = {
        pk: kept[place][1] for pk, place in places.items() if kept.get(place, (b"",))[0] == signs[pk]
    }
    wanted = {one: plan for one, plan in shown.items() if one.pk not in known}
    if not wanted:
        return known
    drawn = {pk: _bare(weeks) for pk, weeks in draw(wanted).items()}
    new = {places[pk]: (signs[pk], weeks) for pk, weeks in drawn.items() if pk in signs}
    # Of what somebody wrote to meanwhile they may show some of the old and some of the new.
    if new and marks() == since:
        caches["verdicts"].set_many(new)
    return known | drawn


def _bare(weeks: Weeks) -> Weeks:
    """Without the rows of the lessons, which cost more to keep than to read: their keys are enough."""
    return tuple(
        replace(week, columns=tuple(replace(column, lesson=None) for column in week.columns))
        for week in weeks
    )


def _signs(plans: Mapping[Course, TermPlan], found: Mapping[int, Verdict]) -> dict[int, bytes]:
    """Course (pk) -> what stands for all its weeks are drawn from."""
    if not plans:
        return {}
    closures = list(Closure.objects.order_by("pk").values_list())
    then = _published_besides(plans)
    signs = {}
    for course, plan in plans.items():
        days = (course.term.first_day, course.term.last_day, today())
        meetings = [(meeting.weekday, meeting.room_id) for meeting in course.meetings.all()]
        said = repr((plan.pk, found[plan.pk].found_in, days, meetings, closures, then[course.pk]))
        signs[course.pk] = hashlib.blake2b(said.encode(), digest_size=16).digest()
    return signs


def _published_besides(plans: Mapping[Course, TermPlan]) -> Mapping[int, Sequence[bytes]]:
    """Course (pk) -> what stands for the rows of its other plans that are or were published: a lesson that
    has been shows what was planned when it began."""
    others = TermPlan.objects.filter(course__in=plans, status__in=OFFICIAL)
    others = others.exclude(pk__in=[plan.pk for plan in plans.values()]).order_by("pk")
    course_of = dict(others.values_list("pk", "course"))
    rows = rows_of_plans(course_of)
    of_course: dict[int, list[bytes]] = defaultdict(list)
    for pk, course in course_of.items():
        of_course[course].append(rows[pk])
    return of_course
