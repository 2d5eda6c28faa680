"""Two kinds of what waits for the director: terms planned again, and what is booked twice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Any

from django.urls import reverse

from lessons.models import Course, PlanRun, PlanStatus
from lessons.problems.wording import spoken_day, spoken_list
from lessons.rules.clashes import Clash, Taken, clashes_of_all
from lessons.rules.offer_words import sums
from lessons.timetable.bookings import bookings_between
from lessons.today.needs import Need
from school.clock import today

# Common practice, no source: what lies further ahead has time, and a move by then may have settled it.
LOOKED_AHEAD = dt.timedelta(weeks=6)


def proposals(courses: Iterable[Course]) -> dict[int, Need]:
    """Course (pk) -> the rest of its term, planned again and waiting for a word. One query."""
    by_pk = {course.pk: course for course in courses}
    runs = PlanRun.objects.open_proposals().filter(plan__course__in=by_pk).select_related("plan")
    needs: dict[int, Need] = {}
    for run in runs:
        course = by_pk[run.plan.course_id]
        needs.setdefault(
            course.pk,
            Need(
                f"{course.name}: {run.occasion} The rest is planned again: {_offer(run.result)}",
                "Decide",
                reverse("lessons:plan-run", args=[run.pk]),
            ),
        )
    return needs


def drafts_waiting() -> Iterator[Need]:
    """Drafts into which a plan of the whole school was taken over, unpublished so far. One query."""
    runs = PlanRun.objects.filter(
        school_run__isnull=False, answered="accepted", plan__status=PlanStatus.DRAFT
    )
    newest = dict(runs.order_by("pk").values_list("plan", "school_run"))
    if newest:
        wait = "1 draft waits" if len(newest) == 1 else f"{len(newest)} drafts wait"
        page = reverse("lessons:school-run", args=[max(newest.values())])
        yield Need(f"{wait} to be published.", "Open them", page)


def double_bookings() -> Iterator[Need]:
    """Rooms and people booked twice in the weeks to come. At most four queries."""
    return double_bookings_until(today() + LOOKED_AHEAD)


def double_bookings_until(last: dt.date) -> Iterator[Need]:
    """The same from today up to and with this day."""
    first = today()
    bookings = [one for one in bookings_between(first, last) if first <= one.begins.date() <= last]
    groups: dict[tuple[Taken, str, frozenset[str]], list[Clash]] = {}
    for clash in clashes_of_all(bookings, bookings):
        courses = frozenset({clash.booking.course_name, clash.other.course_name})
        groups.setdefault((clash.taken, clash.who, courses), []).append(clash)
    for (taken, who, courses), found in groups.items():
        yield Need(_said(taken, who, courses, found), "Open the lesson", _lesson(found))


def _offer(result: dict[str, Any]) -> str:
    offers = [sums(one, result["before"]) for one in result["proposals"]]
    return f"{', or '.join(offers)}." if offers else "nothing was found that fits."


def _said(taken: Taken, who: str, courses: frozenset[str], found: list[Clash]) -> str:
    days = sorted({clash.booking.begins.date() for clash in found})
    when = f"on {spoken_day(days[0])}"
    if len(days) > 1:
        when = f"on {len(days)} days, first {when}"
    what = {
        Taken.ROOM: f"{who} is booked twice",
        Taken.INSTRUCTOR: f"{who} teaches twice",
        Taken.COURSE: f"{who} meets twice",
    }
    between = f": {spoken_list(sorted(courses))}" if len(courses) > 1 else ""
    return f"{what[taken]} at one time {when}, {found[0].booking.hours}{between}."


def _lesson(found: list[Clash]) -> str:
    """The page of the first course lesson among them; of the private lesson where both are private."""
    for clash in found:
        for booking in (clash.booking, clash.other):
            if booking.key is not None:
                return reverse("lessons:lesson", args=[booking.key])
    private = next(clash.booking.private for clash in found)
    return reverse("lessons:private-lesson", args=[private])
