"""What somebody dances and teaches: what lessons add to a person's page."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Prefetch
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from lessons.models import (
    Course,
    CourseInstructor,
    Enrolment,
    Helper,
    HelperCall,
    LessonInstructor,
    Meeting,
    PrivateLesson,
)
from lessons.people.helpers import my_calls
from school.clock import today
from school.models import Person

Row = TypeVar("Row")
# Of what is over, or comes one by one.
SHOWN = 12


@dataclass(frozen=True)
class OfPerson:
    """dances, danced: in terms that run or come, and before; teaches, taught: likewise; covers: single
    lessons of others to come; private: private lessons to come that the reader may read; helper: as what they
    can be called; calls: for which lessons to come they are."""

    dances: tuple[Enrolment, ...]
    danced: tuple[Enrolment, ...]
    teaches: tuple[Course, ...]
    taught: tuple[Course, ...]
    covers: tuple[LessonInstructor, ...]
    private: tuple[PrivateLesson, ...]
    helper: Helper | None
    calls: tuple[HelperCall, ...]

    @property
    def says_something(self) -> bool:
        courses = self.dances, self.danced, self.teaches, self.taught, self.covers
        return any((*courses, self.private, self.helper, self.calls))


def courses_of_person(person: Person, reader: Person) -> SafeString:
    """Read by who teaches. Ten queries at most, however many courses."""
    context = {"of": of_person(person, reader), "person": person, "user": reader}
    return render_to_string("lessons/_person_courses.html", context)


def of_person(person: Person, reader: Person) -> OfPerson:
    meetings = Meeting.objects.order_by("weekday", "start")
    enrolments = (
        Enrolment.objects.filter(person=person)
        .select_related("course__term")
        .prefetch_related(Prefetch("course__meetings", meetings))
        .order_by("-course__term__first_day", "course__name", "-joined")
    )
    teaching = (
        CourseInstructor.objects.filter(person=person)
        .select_related("course__term")
        .prefetch_related(Prefetch("course__meetings", meetings))
        .order_by("-course__term__first_day", "course__name")
    )
    dances, danced = _now_and_then(enrolments, lambda row: row.left is None and _runs(row.course))
    teaches, taught = _now_and_then((row.course for row in teaching), _runs)
    covers = LessonInstructor.objects.filter(
        person=person, covers=True, lesson__date__gte=today(), lesson__cancelled_at=None
    ).select_related("lesson__course")
    private = PrivateLesson.objects.for_staff(reader).filter(person=person, date__gte=today())
    return OfPerson(
        dances, danced[:SHOWN], teaches, taught[:SHOWN],
        tuple(covers.order_by("lesson__date", "lesson__start")[:SHOWN]),
        tuple(private.with_instructor().order_by("date", "start", "pk")[:SHOWN]),
        Helper.objects.filter(person=person).prefetch_related("dances").first(),
        tuple(my_calls(person)[:SHOWN]),
    )  # fmt: skip


def _runs(course: Course) -> bool:
    """Now, or from a day to come."""
    return course.term.last_day >= today()


def _now_and_then(
    rows: Iterable[Row], is_now: Callable[[Row], bool]
) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """Those for which it holds, and the others, each in their order."""
    kept = [(is_now(row), row) for row in rows]
    return tuple(row for now, row in kept if now), tuple(row for now, row in kept if not now)
