"""The story made into rows: the published plans, and what was recorded of the lessons that have been."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Mapping

from curriculum.models import Figure
from lessons.demo.dance_rows import DanceRows
from lessons.demo.read import Row, look_up, read
from lessons.demo.school_rows import SchoolRows
from lessons.demo.term_rows import TermRows
from lessons.models import (
    Attendance,
    CatchUp,
    Course,
    Enrolment,
    Helper,
    HelperCall,
    LessonInstructor,
    LessonRecord,
    OwnMark,
    OwnNote,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    PrivateFigure,
    PrivateLesson,
    RecordedFigure,
    Requirement,
    SignOff,
    TermPlan,
)
from school.models import Person, Role

PUBLISHED_AT = dt.time(12)


def load_plans(*, terms: TermRows, school: SchoolRows, dances: Mapping[str, DanceRows]) -> None:
    """Write what plans.toml says, each plan published the day before its term. A fixed number of queries."""
    data = read("plans")["plan"]
    director = _director()
    plans = TermPlan.objects.bulk_create(
        TermPlan(
            course=course,
            name="Term plan",
            status=PlanStatus.PUBLISHED,
            created_by=director,
            published_by=director,
            published_at=_noon_before_term(course, school),
        )
        for course in (look_up(terms.courses, row["course"], "course") for row in data)
    )
    figures = PlanFigure.objects.bulk_create(
        PlanFigure(plan=plan, figure=_figure(dances, plan.course, name))
        for plan, row in zip(plans, data, strict=True)
        for lesson in row["lessons"]
        for name in lesson.get("new", ())
    )
    asked = {(row.plan.course.key, row.figure.name): row for row in figures}
    PlanIntroduction.objects.bulk_create(
        PlanIntroduction(plan_figure=asked[row["course"], name], lesson=terms.lesson(row["course"], number))
        for row in data
        for number, lesson in enumerate(row["lessons"], start=1)
        for name in lesson.get("new", ())
    )
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=asked[row["course"], name], lesson=here, due=here)
        for row in data
        for number, lesson in enumerate(row["lessons"], start=1)
        for here in [terms.lesson(row["course"], number)]
        for name in lesson.get("again", ())
    )


def load_records(*, terms: TermRows, school: SchoolRows, dances: Mapping[str, DanceRows]) -> None:
    """Write what records.toml says. A fixed number of queries."""
    data = read("records")
    records = LessonRecord.objects.bulk_create(
        LessonRecord(
            lesson=terms.lesson(row["course"], row["lesson"]),
            note=row.get("note", ""),
            unnamed_guests=row.get("unnamed_guests", 0),
            recorded_by=school.person(row["by"]),
        )
        for row in data["record"]
    )
    _load_recorded_figures(records, data["record"], dances)
    _load_attendance(records, data["record"], school)
    LessonInstructor.objects.bulk_create(
        LessonInstructor(
            lesson=terms.lesson(row["course"], row["lesson"]),
            person=school.person(row["person"]),
            covers=True,
        )
        for row in data["cover"]
    )
    _load_words_about_students(data, terms, school, dances)
    _load_catch_ups(data["catch_up"], terms, school)
    _load_private_lessons(data["private_lesson"], terms, school, dances)
    _load_helpers(data["helper"], data["helper_call"], terms, school, dances)


def load_requirements(*, dances: Mapping[str, DanceRows]) -> None:
    """Write what requirements.toml says. One query."""
    Requirement.objects.bulk_create(
        Requirement(
            level=rows.levels[row["level"]],
            position=place * 10,
            figure=rows.figure(line["figure"]) if "figure" in line else None,
            habit=line.get("habit", ""),
            role=line.get("role", ""),
        )
        for row in read("requirements")["list"]
        for rows in [look_up(dances, row["dance"], "dance")]
        for place, line in enumerate(row["lines"], start=1)
    )


def _load_recorded_figures(
    records: list[LessonRecord], data: list[Row], dances: Mapping[str, DanceRows]
) -> None:
    RecordedFigure.objects.bulk_create(
        RecordedFigure(
            record=record,
            figure=_figure(dances, record.lesson.course, name),
            outcome=outcome,
            went=went,
            minutes_owed=minutes_owed,
        )
        for record, row in zip(records, data, strict=True)
        for line in row["figures"]
        for name, outcome, went, minutes_owed in [_whole_line(*line)]
    )


def _whole_line(
    name: str, outcome: str, went: str = "", minutes_owed: int | None = None
) -> tuple[str, str, str, int | None]:
    """A figure's line of a record, with what it leaves out."""
    return name, outcome, went, minutes_owed


def _load_attendance(records: list[LessonRecord], data: list[Row], school: SchoolRows) -> None:
    """Those enrolled danced the role they are enrolled in."""
    enrolments = Enrolment.objects.values_list("course", "person", "role")
    enrolled = {(course, person): role for course, person, role in enrolments}
    Attendance.objects.bulk_create(
        Attendance(record=record, person=person, role=role or enrolled[record.lesson.course_id, person.pk])
        for record, row in zip(records, data, strict=True)
        for name, role in {**dict.fromkeys(row["present"], ""), **row.get("helpers", {})}.items()
        for person in [school.person(name)]
    )


def _load_catch_ups(data: list[Row], terms: TermRows, school: SchoolRows) -> None:
    """Asked at noon on the day of the lesson they missed."""
    zone = zoneinfo.ZoneInfo(school.school.time_zone)
    CatchUp.objects.bulk_create(
        CatchUp(
            lesson=terms.lesson(row["course"], row["lesson"]),
            missed=missed,
            person=school.person(row["person"]),
            role=row["role"],
            asked_at=dt.datetime.combine(missed.date, PUBLISHED_AT, tzinfo=zone),
        )
        for row in data
        for missed in [terms.lesson(row["missed_course"], row["missed_lesson"])]
    )


def _load_words_about_students(
    data: Row, terms: TermRows, school: SchoolRows, dances: Mapping[str, DanceRows]
) -> None:
    habits = {line.habit: line for line in Requirement.objects.exclude(habit="")}
    SignOff.objects.bulk_create(
        SignOff(
            person=school.person(row["person"]),
            figure=_figure(dances, terms.courses[row["course"]], row["figure"]) if "figure" in row else None,
            habit=look_up(habits, row["habit"], "habit") if "habit" in row else None,
            role=row["role"],
            day=terms.lesson(row["course"], row["lesson"]).date,
            signed_by=school.person(row["by"]),
        )
        for row in data["sign_off"]
    )
    OwnMark.objects.bulk_create(
        OwnMark(
            person=school.person(row["person"]),
            figure=_figure(dances, terms.courses[row["course"]], row["figure"]),
            role=row["role"],
            mark=row["mark"],
            marked_at=terms.lesson(row["course"], row["lesson"]).begins,
        )
        for row in data["own_mark"]
    )
    OwnNote.objects.bulk_create(
        OwnNote(
            person=school.person(row["person"]),
            figure=_figure(dances, terms.courses[row["course"]], row["figure"]),
            text=row["text"],
            written_at=terms.lesson(row["course"], row["lesson"]).begins,
        )
        for row in data["own_note"]
    )


def _load_private_lessons(
    data: list[Row], terms: TermRows, school: SchoolRows, dances: Mapping[str, DanceRows]
) -> None:
    lessons = PrivateLesson.objects.bulk_create(
        PrivateLesson(
            person=school.person(row["person"]),
            instructor=school.person(row["by"]),
            role=row["role"],
            date=terms.lesson(row["course"], row["lesson"]).date,
            start=row["start"],
            minutes=row["minutes"],
            room=look_up(school.rooms, row["room"], "room"),
            homework=row.get("homework", ""),
        )
        for row in data
    )
    PrivateFigure.objects.bulk_create(
        PrivateFigure(
            lesson=lesson,
            figure=_figure(dances, terms.courses[row["course"]], name),
            outcome=outcome,
            went=went,
        )
        for lesson, row in zip(lessons, data, strict=True)
        for name, outcome, went, _ in [_whole_line(*line) for line in row["figures"]]
    )


def _load_helpers(
    data: list[Row],
    calls: list[Row],
    terms: TermRows,
    school: SchoolRows,
    dances: Mapping[str, DanceRows],
) -> None:
    """Who can be called, and who is. Called the day before the lesson, at noon."""
    helpers = Helper.objects.bulk_create(
        Helper(person=school.person(row["person"]), role=row["role"]) for row in data
    )
    Helper.dances.through.objects.bulk_create(
        Helper.dances.through(helper=helper, dance=look_up(dances, name, "dance").dance)
        for helper, row in zip(helpers, data, strict=True)
        for name in row["dances"]
    )
    zone = zoneinfo.ZoneInfo(school.school.time_zone)
    HelperCall.objects.bulk_create(
        HelperCall(
            lesson=lesson,
            person=school.person(row["person"]),
            role=row["role"],
            called_by=school.person(row["by"]),
            called_at=dt.datetime.combine(lesson.date - dt.timedelta(days=1), PUBLISHED_AT, tzinfo=zone),
        )
        for row in calls
        for lesson in [terms.lesson(row["course"], row["lesson"])]
    )


def _figure(dances: Mapping[str, DanceRows], course: Course, name: str) -> Figure:
    return dances[course.dance.name].figure(name)


def _director() -> Person:
    """Whoever may publish plans. One query."""
    return Person.objects.with_role(Role.DIRECTOR).get()


def _noon_before_term(course: Course, school: SchoolRows) -> dt.datetime:
    zone = zoneinfo.ZoneInfo(school.school.time_zone)
    return dt.datetime.combine(course.term.first_day - dt.timedelta(days=1), PUBLISHED_AT, tzinfo=zone)
