"""The term at a glance: every course on one ruler of weeks, what is wrong with it, and a step to mend it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.conf import settings
from django.core.paginator import Page, Paginator
from django.urls import reverse

from lessons.board.build import Around, around_many, rule, tallest
from lessons.board.page import plan_faults
from lessons.board.term_weeks import weeks_kept
from lessons.board.values import Column, Week
from lessons.board.weeks import Happenings, weeks_of
from lessons.courses.verdicts import verdicts
from lessons.models import Course, LessonSession, PlanStatus, TermPlan
from lessons.planners.term_values import Finding
from lessons.problems import CourseProblem, course_problems
from lessons.rules.clashes import Clash, clashes_of_all
from lessons.timetable.bookings import bookings_between, said_together
from school.changes import marks
from school.clock import today
from school.models import Term
from school.plain_letters import plain_letters
from school.templatetags.words import day

# Courses on one page.
LINES = 20


@dataclass(frozen=True)
class Wrong:
    """`short`: said after the course's name. `step`: what mends it, at `url`."""

    short: str
    sentences: tuple[str, ...]
    step: str
    url: str


@dataclass(frozen=True)
class CourseState:
    """How a course stands: its published plan, or the newest draft; its newest draft; what is wrong there."""

    course: Course
    plan: TermPlan | None
    draft: TermPlan | None
    wrongs: tuple[Wrong, ...]

    @property
    def is_sound(self) -> bool:
        return not self.wrongs

    @property
    def faults(self) -> int:
        """How many things are wrong: as many as the page has sentences about it."""
        return sum(len(wrong.sentences) for wrong in self.wrongs)


@dataclass(frozen=True)
class Line:
    """A course on the term's page; `cells` has one entry a week of the term."""

    state: CourseState
    cells: tuple[tuple[Column, ...], ...]

    @property
    def course(self) -> Course:
        return self.state.course

    @property
    def plan(self) -> TermPlan | None:
        return self.state.plan

    @property
    def draft(self) -> TermPlan | None:
        return self.state.draft

    @property
    def wrongs(self) -> tuple[Wrong, ...]:
        return self.state.wrongs

    @property
    def is_sound(self) -> bool:
        return self.state.is_sound

    @property
    def faults(self) -> int:
        return self.state.faults


@dataclass(frozen=True)
class Sought:
    """Which courses are looked at: by `words` of their names, dances, days and instructors; only those with
    which something is wrong; in the order of their dances, or of the days they meet on."""

    words: str = ""
    only_wrong: bool = False
    by_day: bool = False
    page: str = "1"


@dataclass(frozen=True)
class TermSheet:
    """states: of every course of the term; lines: those of `page`, of the courses sought."""

    weeks: tuple[Week, ...]
    states: tuple[CourseState, ...]
    lines: tuple[Line, ...]
    page: Page[CourseState]
    tallest: int

    @property
    def sound(self) -> int:
        return sum(state.is_sound for state in self.states)

    @property
    def is_sound(self) -> bool:
        return self.sound == len(self.states)

    @property
    def has_wrong_lines(self) -> bool:
        return not all(line.is_sound for line in self.lines)

    @property
    def is_long(self) -> bool:
        """Whether the courses do not all stand on one page, so that some are sought."""
        return len(self.states) > self.page.paginator.per_page

    @property
    def head(self) -> str:
        """The term in one sentence."""
        total = len(self.states)
        if self.is_sound:
            return f"All {total} courses are sound." if total > 1 else "The course is sound."
        told = [f"{one.course.key} {one.wrongs[0].short}" for one in self.states if one.wrongs]
        more = f"; and {len(told) - 2} more" if len(told) > 2 else ""
        return f"{self.sound} of {total} courses are sound; {'; '.join(told[:2])}{more}."


def term_sheet(term: Term, sought: Sought = Sought(), *, lines: int | None = None) -> TermSheet:
    """How every course stands, and the weeks of those on the page: `lines` of them, `LINES` unless said. The
    number of queries does not depend on the courses."""
    lines = lines or LINES
    courses = list(term.courses.for_page().order_by("dance__name", "key"))
    plans = _plans(courses)
    shown = {pk: plan for pk, rows in plans.items() if (plan := _shown(rows))}
    if len(courses) <= lines:
        problems = _problems(shown.values())
        states = _states(term, courses, plans, {pk: plan_faults(one) for pk, one in problems.items()})
        page = Paginator(_sought(states, sought), lines).get_page(sought.page)
        return _aligned(states, page, _weeks([one.course for one in page], problems))
    since = marks() if settings.KEPT_PAGES else {}
    found = verdicts(list(shown.values()))
    states = _states(term, courses, plans, {pk: found[plan.pk].faults for pk, plan in shown.items()})
    page = Paginator(_sought(states, sought), lines).get_page(sought.page)
    drawn = {one.course: one.plan for one in page}
    return _aligned(states, page, weeks_kept(drawn, found, since, _weeks_by_plan))


def _weeks_by_plan(shown: Mapping[Course, TermPlan | None]) -> dict[int, tuple[Week, ...]]:
    """By course (pk); `shown`: the plan of each, where it has one."""
    return _weeks(list(shown), _problems(plan for plan in shown.values() if plan))


def _weeks(courses: Sequence[Course], problems: Mapping[int, CourseProblem]) -> dict[int, tuple[Week, ...]]:
    """By course (pk); `problems`: of those with a plan."""
    around = around_many(courses)
    lessons = _lessons_of([one for one in courses if one.pk not in problems])
    return {
        one.pk: rule(problems[one.pk], one, around[one.pk]).weeks
        if one.pk in problems
        else _bare_weeks(one, lessons.get(one.pk, []), around[one.pk])
        for one in courses
    }


def _problems(plans: Iterable[TermPlan]) -> dict[int, CourseProblem]:
    """By course (pk)."""
    read = list(plans)
    return {one.plan.course_id: one for one in course_problems(read)} if read else {}


def _states(
    term: Term,
    courses: Sequence[Course],
    plans: Mapping[int, Sequence[TermPlan]],
    faults: Mapping[int, Sequence[Finding]],
) -> tuple[CourseState, ...]:
    """`faults`: what is wrong with the plan shown of each course."""
    lessons, booked = _given(courses), _double_booked(term)
    states = []
    for course in courses:
        draft = next((one for one in plans.get(course.pk, ()) if one.status == PlanStatus.DRAFT), None)
        shown, own = _shown(plans.get(course.pk, ())), lessons.get(course.pk, [])
        wrongs = (
            *_of_course(course, own),
            *_of_clashes(course, booked.get(course.pk, [])),
            *_of_records(own),
            *_of_plan(course, shown, faults.get(course.pk, ())),
        )
        states.append(CourseState(course, shown, draft, wrongs))
    return tuple(states)


def _sought(states: Sequence[CourseState], sought: Sought) -> list[CourseState]:
    words = plain_letters(sought.words).split()
    found = [
        one
        for one in states
        if not (sought.only_wrong and one.is_sound)
        and (not words or all(word in said for said in [_said_of(one.course)] for word in words))
    ]
    return sorted(found, key=lambda one: _first_meeting(one.course)) if sought.by_day else found


def _said_of(course: Course) -> str:
    days = [meeting.get_weekday_display() for meeting in course.meetings.all()]
    people = [row.person.name for row in course.courseinstructor_set.all()]
    return plain_letters(" ".join([course.key, course.name, course.dance.name, *days, *people]))


def _first_meeting(course: Course) -> tuple[int, str]:
    return min(((one.weekday, str(one.start)) for one in course.meetings.all()), default=(7, ""))


def _plans(courses: Sequence[Course]) -> dict[int, list[TermPlan]]:
    """The courses' published plans and drafts, newest first. One query."""
    found: dict[int, list[TermPlan]] = {}
    rows = TermPlan.objects.filter(course__in=courses).exclude(status=PlanStatus.RETIRED)
    by_pk = {course.pk: course for course in courses}
    for plan in rows.order_by("-created_at", "-pk"):
        plan.course = by_pk[plan.course_id]
        found.setdefault(plan.course_id, []).append(plan)
    return found


def _shown(plans: Sequence[TermPlan]) -> TermPlan | None:
    """The published plan, or the newest draft where nothing is published."""
    return next((plan for plan in plans if plan.status == PlanStatus.PUBLISHED), plans[0] if plans else None)


@dataclass(frozen=True)
class _Given:
    """A lesson that takes place, by primary key."""

    lesson: int
    day: dt.date
    has_record: bool


def _given(courses: Sequence[Course]) -> dict[int, list[_Given]]:
    """The courses' lessons that take place, in order. One query."""
    found: dict[int, list[_Given]] = {}
    rows = LessonSession.objects.given().filter(course__in=courses).in_order()
    for course, lesson, day_of, record in rows.values_list("course", "pk", "date", "record"):
        found.setdefault(course, []).append(_Given(lesson, day_of, record is not None))
    return found


def _lessons_of(courses: Sequence[Course]) -> dict[int, list[LessonSession]]:
    found: dict[int, list[LessonSession]] = {}
    for lesson in LessonSession.objects.filter(course__in=courses).select_related("record").in_order():
        found.setdefault(lesson.course_id, []).append(lesson)
    return found


def _bare_weeks(course: Course, lessons: Sequence[LessonSession], around: Around) -> tuple[Week, ...]:
    """The weeks of a course without a plan: no loads, but what has been and what was recorded."""
    happenings = Happenings(
        today=today(),
        past=frozenset(lesson.pk for lesson in lessons if lesson.date < today()),
        recorded=frozenset(lesson.pk for lesson in lessons if hasattr(lesson, "record")),
        milestones=around.milestones,
    )
    return weeks_of(course, lessons, around.closures, happenings)


def _of_course(course: Course, lessons: Sequence[_Given]) -> list[Wrong]:
    page = reverse("lessons:course", args=[course.pk])
    wrongs = []
    if not lessons:
        sentence = "No lessons are laid out."
        wrongs.append(Wrong("has no lessons", (sentence,), "Say when it meets", f"{page}edit/"))
    if not course.courseinstructor_set.all():
        wrongs.append(
            Wrong("has no instructor", ("Nobody teaches it.",), "Name who teaches it", f"{page}edit/")
        )
    elif nobody := course.front.nobody:
        wrongs.append(Wrong("has no instructor", (nobody,), "Name who teaches it", f"{page}edit/"))
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


def _of_records(lessons: Sequence[_Given]) -> list[Wrong]:
    """What has been ends with the last lesson that is before today or recorded."""
    been = [place for place, one in enumerate(lessons, start=1) if one.has_record or one.day < today()]
    missing = [
        (place, one)
        for place, one in enumerate(lessons[: max(been, default=0)], start=1)
        if not one.has_record
    ]
    short = "has a lesson without a record" if len(missing) == 1 else "has lessons without a record"
    return [
        Wrong(
            short,
            (f"Lesson {number}, {day(one.day)}, has no record.",),
            "Write it",
            reverse("lessons:record", args=[one.lesson]),
        )
        for number, one in missing
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


def _aligned(
    states: tuple[CourseState, ...], page: Page[CourseState], drawn: Mapping[int, tuple[Week, ...]]
) -> TermSheet:
    """All courses of the page on one ruler: every week that any of them has."""
    by_monday: dict[dt.date, Week] = {}
    for own in drawn.values():
        for week in own:
            by_monday.setdefault(week.monday, week)
    weeks = tuple(by_monday[monday] for monday in sorted(by_monday))
    lines = []
    for state in page:
        held = {week.monday: week.columns for week in drawn[state.course.pk]}
        cells = tuple(held.get(week.monday, (Column(week.monday),)) for week in weeks)
        lines.append(Line(state, cells))
    columns = [column for own in drawn.values() for week in own for column in week.columns]
    return TermSheet(_named(weeks), states, tuple(lines), page, tallest(columns))


def _named(weeks: Sequence[Week]) -> tuple[Week, ...]:
    """The same weeks, each month named once, at the first Monday that lies in it."""
    named, month = [], 0
    for week in weeks:
        name = week.monday.strftime("%b") if week.monday.month != month else ""
        month = week.monday.month
        named.append(Week(week.number, week.monday, name, ()))
    return tuple(named)
