"""What needs a director now, kind after kind: of each so many that the page stays short in a large school."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence

from django.db.models import Prefetch
from django.urls import reverse

from lessons.courses.verdicts import verdicts
from lessons.models import Course, LessonSession, PlanStatus, TermPlan
from lessons.people.nobody_in_front import needs_of_nobody
from lessons.people.showcase import showcases_that_ask
from lessons.problems.wording import spoken_day
from lessons.runs.signs import worker_is_alive
from lessons.today.director_needs import double_bookings, drafts_waiting, proposals
from lessons.today.needs import Need, NeedKind, and_more, first_steps, people_waiting
from lessons.today.watch import broken_routines, troubled_plans, undanceable_routines
from school.clock import today

RECORD_WANTED_AFTER = dt.timedelta(days=2)
SHOWN = 5


def what_needs_me(everything: str = "") -> Iterator[Need]:
    """`everything`: the value of the kind of which all is shown. A constant number of queries, whatever the
    number of courses."""
    if not worker_is_alive():
        yield Need("No worker is alive: a plan asked for now waits until “manage.py worker” is started.")
    courses = list(_running_courses())
    if not courses:
        yield from first_steps()
    yield from drafts_waiting()
    for kind, found in _of_each_kind(courses):
        needs = list(found)
        most = len(needs) if kind.value == everything else SHOWN
        yield from needs[:most]
        if len(needs) > most:
            yield and_more(kind, len(needs) - most)
    yield from _records_missing(courses, None if everything == NeedKind.RECORDS.value else SHOWN)


def _of_each_kind(courses: Sequence[Course]) -> Iterator[tuple[NeedKind, Iterable[Need]]]:
    offered = proposals(courses)
    yield NeedKind.AGAIN, offered.values()
    yield NeedKind.NOBODY, needs_of_nobody()
    yield NeedKind.BOOKED, double_bookings()
    yield NeedKind.PEOPLE, [*people_waiting(), *showcases_that_ask()]
    yield (
        NeedKind.UNPLANNED,
        [
            Need(f"{course.name} has no published plan.", "Open the course", _course(course))
            for course in courses
            if not course.published
        ],
    )
    found = verdicts([plan for course in courses for plan in course.published])
    yield (
        NeedKind.PLANS,
        [
            _troubled(course, [finding.sentence for finding in findings])
            for course, findings in troubled_plans(courses, found)
            if course.pk not in offered
        ],
    )
    yield (
        NeedKind.NIGHTS,
        [
            Need(f"{course.name}: {sentence}", "Open the course", _course(course))
            for course, sentence in undanceable_routines(courses, found)
        ],
    )
    yield (
        NeedKind.JOINS,
        [
            Need(
                f"{routine.name}: {sentence}",
                "Open the routine",
                reverse("curriculum:routine", args=[routine.pk]),
            )
            for routine, sentence in broken_routines(courses)
        ],
    )


def _troubled(course: Course, sentences: Sequence[str]) -> Need:
    more = f" And {len(sentences) - 1} more." if len(sentences) > 1 else ""
    page = reverse("lessons:plan", args=[course.published[0].pk])
    return Need(f"{course.name}: {sentences[0]}{more}", "Open the plan", page)


def _records_missing(courses: Sequence[Course], most: int | None) -> Iterator[Need]:
    """Those a record is wanted of by now, `most` of them, or all that are missing; where some are wanted, how
    many there are besides is said too."""
    rows = LessonSession.objects.given().without_record().filter(course__in=courses, date__lt=today())
    missing = list(rows.order_by("date", "start", "pk").values_list("pk", "course__name", "date"))
    wanted = [row for row in missing if row[2] <= today() - RECORD_WANTED_AFTER]
    shown = missing if most is None else wanted[:most]
    for key, course, day in shown:
        page = reverse("lessons:record", args=[key])
        yield Need(f"{course} on {spoken_day(day)} has no record yet.", "Write it", page)
    if wanted and len(missing) > len(shown):
        yield and_more(NeedKind.RECORDS, len(missing) - len(shown))


def _course(course: Course) -> str:
    return reverse("lessons:course", args=[course.pk])


def _running_courses() -> Iterable[Course]:
    """Courses of the terms that run today, each with `published`: its published plan, or nothing."""
    plans = Prefetch("plans", TermPlan.objects.filter(status=PlanStatus.PUBLISHED), to_attr="published")
    return (
        Course.objects.filter(term__first_day__lte=today(), term__last_day__gte=today())
        .select_related("term", "dance", "shape", "routine__level__dance")
        .prefetch_related("levels", plans)
        .order_by("key", "pk")
    )
