"""Where a figure is taught this term: what lessons add to its page in the curriculum."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.db.models import Min, Value
from django.template.loader import render_to_string

from curriculum.hooks import RenderedSection
from curriculum.models import Figure
from lessons.models import (
    Course,
    LessonSession,
    Outcome,
    PlanIntroduction,
    PlanReview,
    PlanStatus,
    RecordedFigure,
)
from school.clock import today
from school.models import Person, Term

TITLE = "Where it is taught this term"


@dataclass
class CourseOfFigure:
    """Dates, each once and in order. taught: recorded as introduced; begun: recorded as to be finished later;
    unrecorded: planned for a lesson that is over and has no record; planned: from today on; later: planned
    for a lesson whose day a student is not told; again: done again, or planned so. What is taught is neither
    begun nor planned any more."""

    pk: int
    name: str
    taught: list[dt.date] = field(default_factory=list)
    begun: list[dt.date] = field(default_factory=list)
    unrecorded: list[dt.date] = field(default_factory=list)
    planned: list[dt.date] = field(default_factory=list)
    later: bool = False
    again: list[dt.date] = field(default_factory=list)

    @property
    def says_something(self) -> bool:
        return bool(self.taught or self.begun or self.unrecorded or self.planned or self.later or self.again)


def taught_this_term(figure: Figure, reader: Person) -> RenderedSection | None:
    """Courses of the terms today lies in that teach the figure, as far as `reader` may read them.

    None in between terms. Three queries at most, for any number of courses, one more for a student.
    """
    this_term = {"term__first_day__lte": today(), "term__last_day__gte": today()}
    courses = Course.objects.for_user(reader).filter(**this_term, dance=figure.dance_id).order_by("key")
    found = {pk: CourseOfFigure(pk, name) for pk, name in courses.values_list("pk", "name")}
    if not found and not Term.objects.on(today()).exists():
        return None
    teaches = reader.is_director or reader.is_instructor
    if found:
        _read_records(figure, found)
        _read_plans(figure, found)
        if not teaches:
            _keep_to_students(found)
    rows = [row for row in found.values() if row.says_something]
    page_of_course = "lessons:course" if teaches else "lessons:my-level-course"
    context = {"rows": rows, "any_course": bool(found), "page_of_course": page_of_course}
    html = render_to_string("lessons/_figure_taught.html", context)
    return RenderedSection("taught", TITLE, html)


def _read_records(figure: Figure, found: dict[int, CourseOfFigure]) -> None:
    """What was recorded; once it is taught it is no longer begun."""
    rows = RecordedFigure.objects.filter(figure=figure, record__lesson__course__in=found)
    for outcome, course, day in rows.order_by("record__lesson__date").values_list(
        "outcome", "record__lesson__course", "record__lesson__date"
    ):
        if outcome == Outcome.INTRODUCED:
            found[course].begun.clear()
            _add(found[course].taught, day)
        elif outcome == Outcome.FINISH_LATER:
            _add(found[course].begun, day)
        elif outcome == Outcome.REVIEWED:
            _add(found[course].again, day)


def _read_plans(figure: Figure, found: dict[int, CourseOfFigure]) -> None:
    """What published plans have in lessons without a record. Reviews of the past are of no use any more."""
    introductions, reviews = (
        kind.objects.filter(
            plan_figure__figure=figure,
            plan_figure__plan__status=PlanStatus.PUBLISHED,
            lesson__course__in=found,
            lesson__cancelled_at__isnull=True,
            lesson__record__isnull=True,
        )
        .order_by()
        .values_list("lesson__course", "lesson__date", Value(kind is PlanReview))
        for kind in (PlanIntroduction, PlanReview)
    )
    for course, day, is_review in sorted(introductions.union(reviews)):
        row, is_over = found[course], day < today()
        if is_review:
            if not is_over:
                _add(row.again, day)
        elif not row.taught:
            _add(row.unrecorded if is_over else row.planned, day)


def _keep_to_students(found: dict[int, CourseOfFigure]) -> None:
    """Students are told the day of the next lesson alone, and of later ones that they come; of a plan that is
    closed to them, nothing. One query."""
    lessons = LessonSession.objects.given().without_record().filter(course__in=found, date__gte=today())
    nexts = lessons.order_by().values_list("course", "course__plan_open").annotate(first=Min("date"))
    days = {course: first for course, is_open, first in nexts if is_open}
    for pk, row in found.items():
        row.later = pk in days and any(day != days[pk] for day in row.planned)
        row.planned = [day for day in row.planned if day == days.get(pk)]
        row.unrecorded = [] if pk not in days else row.unrecorded
        row.again = [day for day in row.again if day < today() or day == days.get(pk)]


def _add(days: list[dt.date], day: dt.date) -> None:
    if day not in days:
        days.append(day)
