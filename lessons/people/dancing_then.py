"""What somebody dances in at an hour: lessons of their courses, and those they were called or asked to."""

from __future__ import annotations

import datetime as dt

from django.db.models import F, Q

from lessons.models import CatchUp, HelperCall, LessonSession
from lessons.rules.clashes import DAY
from school.models import Person


def dances_then(person: Person, day: dt.date, start: dt.time, minutes: int) -> list[LessonSession]:
    """Lessons that share a minute with that time and in which the person dances, earliest first: enrolled,
    to catch up, or called as a helper. By the wall clock of the school. One query."""
    stays = Q(course__enrolments__left=None) | Q(course__enrolments__left__gt=F("date"))
    enrolled = Q(
        course__enrolments__person=person,
        course__enrolments__waiting=False,
        course__enrolments__joined__lte=F("date"),
    )
    visits = CatchUp.objects.holding().filter(person=person).values("lesson")
    called = HelperCall.objects.filter(person=person).values("lesson")
    there = enrolled & stays | Q(pk__in=visits) | Q(pk__in=called)
    rows = LessonSession.objects.given().filter(there, date__range=(day - DAY, day + DAY))
    begins = dt.datetime.combine(day, start)
    ends = begins + dt.timedelta(minutes=minutes)
    return [
        row
        for row in rows.select_related("course").distinct().in_order()
        for row_begins in [dt.datetime.combine(row.date, row.start)]
        if row_begins < ends and begins < row_begins + dt.timedelta(minutes=row.minutes)
    ]
