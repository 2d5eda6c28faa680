"""Terms, closures and courses made into rows, with every date moved to the day the story is told on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from lessons.demo.dance_rows import DanceRows
from lessons.demo.read import Row, look_up, read
from lessons.demo.school_rows import SchoolRows
from lessons.models import (
    Course,
    CourseGroup,
    CourseInstructor,
    CourseKind,
    CourseLevel,
    Enrolment,
    LessonSession,
    Meeting,
    Milestone,
    Standing,
    TaughtBefore,
)
from lessons.models.courses import Weekday
from lessons.rules.calendar import lesson_dates
from school.models import Closure, Term

DAYS = {str(day.label): int(day.value) for day in Weekday}


@dataclass(frozen=True)
class StoryCalendar:
    """Weeks and days of the story as dates. Week 1 begins on `first_day`, whatever weekday that is."""

    first_day: dt.date

    @classmethod
    def told_on(cls, today: dt.date, story: Row) -> StoryCalendar:
        """The calendar in which the story's own week and day fall on `today`."""
        at_the_start = cls(dt.date.min)
        into_the_term = at_the_start.day(story["week"], story["day"]) - at_the_start.first_day
        return cls(today - into_the_term)

    def day(self, week: int, day: str = "Monday") -> dt.date:
        """The date of a day of the story, e.g. week 5, Wednesday: 30 days after the term began."""
        return self.first_day + dt.timedelta(weeks=week - 1, days=look_up(DAYS, day, "day of the week"))

    def weekday(self, day: str) -> int:
        """The weekday, Monday 0, on which the story's `day` falls."""
        return self.day(1, day).weekday()


@dataclass
class TermRows:
    """Courses by key, each with its lessons in order: lesson number n is `lessons[key][n - 1]`."""

    calendar: StoryCalendar
    courses: dict[str, Course] = field(default_factory=dict)
    lessons: dict[str, list[LessonSession]] = field(default_factory=dict)

    def lesson(self, course: str, number: int) -> LessonSession:
        return look_up(self.lessons, course, "course")[number - 1]


def load_terms(*, today: dt.date, school: SchoolRows, dances: Mapping[str, DanceRows]) -> TermRows:
    """Write what term.toml says. A fixed number of queries."""
    data = read("term")
    rows = TermRows(StoryCalendar.told_on(today, data["story"]["told_on"]))
    terms = _load_terms(rows.calendar, data["term"])
    closed = _load_closures(rows.calendar, data["closure"])
    _load_courses(rows, data["course"], terms, school, dances)
    _load_meetings(rows, data["course"], school)
    _load_lessons(rows, data["course"], school, closed)
    _load_people(rows, data["course"], school)
    _load_standings(rows, data["course"], school, dances)
    return rows


def _load_terms(calendar: StoryCalendar, data: list[Row]) -> dict[str, Term]:
    terms = Term.objects.bulk_create(
        Term(
            name=row["name"],
            first_day=calendar.day(row["first_week"]),
            last_day=calendar.day(row["first_week"] + row["weeks"]) - dt.timedelta(days=1),
        )
        for row in data
    )
    return {term.name: term for term in terms}


def _load_closures(calendar: StoryCalendar, data: list[Row]) -> frozenset[dt.date]:
    closures = Closure.objects.bulk_create(
        Closure(
            first_day=calendar.day(row["week"]),
            last_day=calendar.day(row["week"], "Sunday"),
            reason=row["reason"],
        )
        for row in data
    )
    return frozenset(day for closure in closures for day in closure.days())


def _load_courses(
    rows: TermRows,
    data: list[Row],
    terms: Mapping[str, Term],
    school: SchoolRows,
    dances: Mapping[str, DanceRows],
) -> None:
    names = dict.fromkeys(row["group"] for row in data if "group" in row)
    groups = {group.name: group for group in CourseGroup.objects.bulk_create(map(_group_row, names))}
    courses = Course.objects.bulk_create(
        Course(
            term=look_up(terms, row["term"], "term"),
            key=row["key"],
            name=row["name"],
            dance=_dance(dances, row).dance,
            kind=CourseKind.GROUP,
            group=groups[row["group"]] if "group" in row else None,
            routine=look_up(_dance(dances, row).routines, row["routine"], "routine"),
            shape=look_up(school.shapes, row["shape"], "lesson shape"),
            places_leaders=row["places_each_role"],
            places_followers=row["places_each_role"],
            allowed_difference=row.get("allowed_difference", 2),
            newcomers_until=_last_day_of_week(rows.calendar, row.get("newcomers_until_week")),
            drop_ins_welcome=row.get("drop_ins_welcome", False),
        )
        for row in data
    )
    rows.courses = {course.key: course for course in courses}
    for course, row in zip(courses, data, strict=True):
        course.continues = look_up(rows.courses, row["continues"], "course") if "continues" in row else None
    Course.objects.bulk_update(courses, ["continues"])
    CourseLevel.objects.bulk_create(
        CourseLevel(course=course, level=_dance(dances, row).levels[row["level"]])
        for course, row in zip(courses, data, strict=True)
    )
    Milestone.objects.bulk_create(
        Milestone(
            course=course,
            name=milestone["name"],
            day=rows.calendar.day(milestone["week"], row["meets"]["day"]),
            routine=look_up(_dance(dances, row).routines, milestone["routine"], "routine"),
        )
        for course, row in zip(courses, data, strict=True)
        for milestone in row.get("milestones", ())
    )
    _load_taught_before(rows, data, dances)


def _load_taught_before(rows: TermRows, data: list[Row], dances: Mapping[str, DanceRows]) -> None:
    TaughtBefore.objects.bulk_create(
        TaughtBefore(course=rows.courses[row["key"]], figure=figure)
        for row in data
        for figure in _dance(dances, row).figures.values()
        if figure.level.rank in row.get("taught_before_levels", ())
    )


def _load_meetings(rows: TermRows, data: list[Row], school: SchoolRows) -> None:
    Meeting.objects.bulk_create(
        Meeting(
            course=rows.courses[row["key"]],
            weekday=rows.calendar.weekday(row["meets"]["day"]),
            start=row["meets"]["start"],
            minutes=row["meets"]["minutes"],
            room=look_up(school.rooms, row["meets"]["room"], "room"),
        )
        for row in data
    )
    CourseInstructor.objects.bulk_create(
        CourseInstructor(course=rows.courses[row["key"]], person=school.person(name))
        for row in data
        for name in row["teachers"]
    )


def _load_lessons(rows: TermRows, data: list[Row], school: SchoolRows, closed: frozenset[dt.date]) -> None:
    """A course taught before the school planned with Freefoot has no lessons."""
    lessons = LessonSession.objects.bulk_create(
        LessonSession(
            course=course,
            first_date=day,
            date=day,
            start=row["meets"]["start"],
            minutes=row["meets"]["minutes"],
            room=look_up(school.rooms, row["meets"]["room"], "room"),
            note=row.get("lesson_notes", {}).get(str(number), ""),
        )
        for row in data
        if "taught_before_levels" not in row
        for course in [rows.courses[row["key"]]]
        for number, day in enumerate(_dates(rows.calendar, course, row, closed), start=1)
    )
    for lesson in lessons:
        rows.lessons.setdefault(lesson.course.key, []).append(lesson)


def _dates(
    calendar: StoryCalendar, course: Course, row: Row, closed: frozenset[dt.date]
) -> tuple[dt.date, ...]:
    return lesson_dates(
        course.term.first_day,
        course.term.last_day,
        weekdays={calendar.weekday(row["meets"]["day"])},
        closed=closed,
    )


def _load_people(rows: TermRows, data: list[Row], school: SchoolRows) -> None:
    Enrolment.objects.bulk_create(
        Enrolment(
            course=course,
            person=school.person(person["name"]),
            role=person["role"],
            dances_both=person.get("dances_both", False),
            joined=course.term.first_day + dt.timedelta(weeks=person.get("joined_week", 1) - 1),
        )
        for row in data
        for course in [rows.courses[row["key"]]]
        for person in row["people"]
    )


def _load_standings(
    rows: TermRows, data: list[Row], school: SchoolRows, dances: Mapping[str, DanceRows]
) -> None:
    """Everybody stands on the levels of their courses, in the role they are enrolled in."""
    Standing.objects.bulk_create(
        Standing(
            person=school.person(person["name"]),
            level=_dance(dances, row).levels[row["level"]],
            role=person["role"],
        )
        for row in data
        for person in row["people"]
    )


def _dance(dances: Mapping[str, DanceRows], row: Row) -> DanceRows:
    return look_up(dances, row["dance"], "dance")


def _group_row(name: str) -> CourseGroup:
    return CourseGroup(name=name)


def _last_day_of_week(calendar: StoryCalendar, week: int | None) -> dt.date | None:
    return None if week is None else calendar.day(week, "Sunday")
