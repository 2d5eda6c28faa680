"""The term at a glance: every course on one ruler of weeks, what is wrong with it, and a step to mend it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from lessons.board.build import Around, around_many, rule, tallest
from lessons.board.values import Column, Week
from lessons.board.weeks import Happenings, weeks_of
from lessons.bookings import bookings_between, said_together
from lessons.models import Course, LessonSession, PlanStatus, TermPlan
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problems
from lessons.rules.clashes import Clash, clashes_of_all
from school.clock import today
from school.models import Term
from school.templatetags.words import day


@dataclass(frozen=True)
class Wrong:
    """`short`: said after the course's name. `step`: what mends it, at `url`."""

    short: str
    sentences: tuple[str, ...]
    step: str
    url: str


@dataclass(frozen=True)
class Line:
    """A course on the term's page; `cells` has one entry a week of the term."""

    course: Course
    plan: TermPlan | None
    draft: TermPlan | None
    cells: tuple[tuple[Column, ...], ...]
    wrongs: tuple[Wrong, ...]

    @property
    def is_sound(self) -> bool:
        return not self.wrongs

    @property
    def faults(self) -> int:
        """How many things are wrong: as many as the page has sentences about it."""
        return sum(len(wrong.sentences) for wrong in self.wrongs)


@dataclass(frozen=True)
class TermSheet:
    weeks: tuple[Week, ...]
    lines: tuple[Line, ...]
    tallest: int

    @property
    def sound(self) -> int:
        return sum(line.is_sound for line in self.lines)

    @property
    def head(self) -> str:
        """The term in one sentence."""
        total = len(self.lines)
        if self.sound == total:
            return f"All {total} courses are sound." if total > 1 else "The course is sound."
        told = [f"{line.course.key} {line.wrongs[0].short}" for line in self.lines if line.wrongs]
        more = f"; and {len(told) - 2} more" if len(told) > 2 else ""
        return f"{self.sound} of {total} courses are sound; {'; '.join(told[:2])}{more}."


def term_sheet(term: Term) -> TermSheet:
    """Everything the term's page shows. The number of queries does not depend on the courses."""
    courses = list(term.courses.for_page().order_by("dance__name", "key"))
    plans = _plans(courses)
    shown = {pk: found for pk, rows in plans.items() if (found := _shown(rows))}
    problems = {one.plan.course_id: one for one in course_problems(list(shown.values()))}
    around = around_many(courses)
    lessons = _lessons_without_plan([course for course in courses if course.pk not in shown])
    booked = _double_booked(term)
    lines = [
        _line(
            course,
            plans.get(course.pk, []),
            problems.get(course.pk),
            around[course.pk],
            lessons,
            booked.get(course.pk, []),
        )
        for course in courses
    ]
    return _aligned(lines)


@dataclass(frozen=True)
class _Drawn:
    weeks: tuple[Week, ...]
    line: Line


def _plans(courses: Sequence[Course]) -> dict[int, list[TermPlan]]:
    """The courses' published plans and drafts, newest first. One query."""
    found: dict[int, list[TermPlan]] = {}
    rows = TermPlan.objects.filter(course__in=courses).exclude(status=PlanStatus.RETIRED)
    for plan in rows.order_by("-created_at", "-pk"):
        found.setdefault(plan.course_id, []).append(plan)
    return found


def _shown(plans: Sequence[TermPlan]) -> TermPlan | None:
    """The published plan, or the newest draft where nothing is published."""
    return next((plan for plan in plans if plan.status == PlanStatus.PUBLISHED), plans[0] if plans else None)


def _lessons_without_plan(courses: Sequence[Course]) -> dict[int, list[LessonSession]]:
    found: dict[int, list[LessonSession]] = {}
    for lesson in LessonSession.objects.filter(course__in=courses).select_related("record").in_order():
        found.setdefault(lesson.course_id, []).append(lesson)
    return found


def _line(
    course: Course,
    plans: Sequence[TermPlan],
    problem: CourseProblem | None,
    around: Around,
    lessons: dict[int, list[LessonSession]],
    booked: Sequence[Clash],
) -> _Drawn:
    findings: tuple[Finding, ...] = ()
    if problem is not None:
        ruled = rule(problem, course, around)
        weeks, findings = ruled.weeks, ruled.findings
    else:
        weeks = _bare_weeks(course, lessons.get(course.pk, []), around)
    plan = _shown(plans)
    draft = next((one for one in plans if one.status == PlanStatus.DRAFT), None)
    columns = [column for week in weeks for column in week.columns]
    wrongs = (
        *_of_course(course, columns),
        *_of_clashes(course, booked),
        *_of_records(columns),
        *_of_plan(course, plan, findings),
    )
    return _Drawn(weeks, Line(course, plan, draft, (), wrongs))


def _bare_weeks(course: Course, lessons: Sequence[LessonSession], around: Around) -> tuple[Week, ...]:
    """The weeks of a course without a plan: no loads, but what has been and what was recorded."""
    happenings = Happenings(
        today=today(),
        past=frozenset(lesson.pk for lesson in lessons if lesson.date < today()),
        recorded=frozenset(lesson.pk for lesson in lessons if hasattr(lesson, "record")),
        milestones=around.milestones,
    )
    return weeks_of(course, lessons, around.closures, happenings)


def _of_course(course: Course, columns: Sequence[Column]) -> list[Wrong]:
    page = reverse("lessons:course", args=[course.pk])
    wrongs = []
    if all(column.is_gap for column in columns):
        sentence = "No lessons are laid out."
        wrongs.append(Wrong("has no lessons", (sentence,), "Say when it meets", f"{page}edit/"))
    if not course.courseinstructor_set.all():
        wrongs.append(
            Wrong("has no instructor", ("Nobody teaches it.",), "Name who teaches it", f"{page}edit/")
        )
    return wrongs


def _double_booked(term: Term) -> dict[int, list[Clash]]:
    """What lessons of today and to come cannot have, by the course they belong to. Four queries."""
    since = max(today(), term.first_day)
    booked = bookings_between(since, max(since, term.last_day))
    lessons = [one for one in booked if one.course and one.begins.date() >= since]
    found: dict[int, list[Clash]] = {}
    for clash in clashes_of_all(lessons, booked):
        found.setdefault(clash.booking.course or 0, []).append(clash)
    return found


def _of_clashes(course: Course, booked: Sequence[Clash]) -> list[Wrong]:
    if not booked:
        return []
    page = reverse("lessons:course", args=[course.pk])
    return [Wrong("is double-booked", tuple(said_together(booked)), "Move or give its lessons", page)]


def _of_records(columns: Sequence[Column]) -> list[Wrong]:
    missing = [column for column in columns if column.misses_record and column.lesson]
    short = "has a lesson without a record" if len(missing) == 1 else "has lessons without a record"
    return [
        Wrong(
            short,
            (f"Lesson {column.number}, {day(column.day)}, has no record.",),
            "Write it",
            reverse("lessons:record", args=[column.lesson.pk]),
        )
        for column in missing
        if column.lesson
    ]


def _of_plan(course: Course, plan: TermPlan | None, findings: Sequence[Finding]) -> list[Wrong]:
    if plan is None:
        page = reverse("lessons:course", args=[course.pk])
        return [Wrong("has no plan", ("It has no plan yet.",), "Start one", f"{page}#plans")]
    page = reverse("lessons:plan", args=[plan.pk])
    wrongs = []
    if plan.status == PlanStatus.DRAFT:
        sentence = "Its plan is a draft; nobody teaches from it yet."
        wrongs.append(Wrong("has no published plan", (sentence,), "Open the draft", page))
    if findings:
        sentences = tuple(finding.sentence for finding in findings)
        wrongs.append(Wrong("has a plan that does not fit", sentences, "Open the plan", page))
    return wrongs


def _aligned(drawn: Sequence[_Drawn]) -> TermSheet:
    """All courses on one ruler: every week that any of them has."""
    by_monday: dict[dt.date, Week] = {}
    for one in drawn:
        for week in one.weeks:
            by_monday.setdefault(week.monday, week)
    weeks = tuple(by_monday[monday] for monday in sorted(by_monday))
    lines = []
    for one in drawn:
        own = {week.monday: week.columns for week in one.weeks}
        cells = tuple(own.get(week.monday, (Column(week.monday),)) for week in weeks)
        line = one.line
        lines.append(Line(line.course, line.plan, line.draft, cells, line.wrongs))
    columns = [column for one in drawn for week in one.weeks for column in week.columns]
    return TermSheet(_named(weeks), tuple(lines), tallest(columns))


def _named(weeks: Sequence[Week]) -> tuple[Week, ...]:
    """The same weeks, each month named once, at the first Monday that lies in it."""
    named, month = [], 0
    for week in weeks:
        name = week.monday.strftime("%b") if week.monday.month != month else ""
        month = week.monday.month
        named.append(Week(week.number, week.monday, name, ()))
    return tuple(named)
