"""What follows from saving a course as a form has it, said before it is done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass

from lessons.actions.course_set_up import MeetingsAsked, laid_since
from lessons.actions.laying_out import missing_lessons
from lessons.actions.shifts import Shift, shifts_of
from lessons.models import Course, LessonSession, Meeting
from lessons.rules.clashes import clashes_of_all
from lessons.timetable.bookings import booking_of, bookings_between, said_together, to_come
from lessons.timetable.hall import against_the_hall
from school.clock import today
from school.models import Person

# A change of these lays lessons out anew, of all meetings.
LAYS_ANEW = frozenset({"term", "first_lesson", "interval_weeks"})
# A change of these is a reason to look at the hall and at the people again.
CONCERNS_THE_HALL = LAYS_ANEW | {"levels", "instructors", "places_leaders", "places_followers"}


@dataclass(frozen=True)
class CourseChange:
    """`sentences`: what to read before it is saved, nothing where nothing follows; `shifts`: where the
    lessons to come would go if they follow a changed meeting."""

    shifts: tuple[Shift, ...] = ()
    sentences: tuple[str, ...] = ()

    @property
    def to_read(self) -> tuple[str, ...]:
        return (*self.sentences, *(shift.sentence for shift in self.shifts))

    @property
    def can_move(self) -> bool:
        return any(not shift.stays_for for shift in self.shifts)


def course_change(
    course: Course, asked: MeetingsAsked, instructors: Sequence[Person], *, changed: Iterable[str]
) -> CourseChange:
    """`course`: with the form's values, not saved; `changed`: the form's fields that differ. A constant
    number of queries."""
    fields = frozenset(changed)
    is_new = course.pk is None
    if not (is_new or asked.added or asked.changed or fields & CONCERNS_THE_HALL):
        return CourseChange()
    shifts = () if is_new else shifts_of(course, asked.changed, today=today())
    lay = asked.to_lay_out(shifts, all_anew=is_new or bool(fields & LAYS_ANEW))
    missing = missing_lessons(course, asked.everything, only=lay, since=laid_since(course))
    said = [
        *_too_late(missing),
        *_taken(course, missing, shifts, instructors),
        *_against_halls(course, asked.everything, people=_people(course, instructors)),
    ]
    return CourseChange(shifts, tuple(said))


def _too_late(missing: Sequence[LessonSession]) -> Iterator[str]:
    count = sum(lesson.date < today() for lesson in missing)
    if count:
        lessons = "1 lesson is" if count == 1 else f"{count} lessons are"
        yield (
            f"{lessons} past already and will stand without a record. If the course did not meet then, "
            "say when its first lesson is."
        )


def _taken(
    course: Course,
    missing: Sequence[LessonSession],
    shifts: Sequence[Shift],
    instructors: Sequence[Person],
) -> list[str]:
    """Clashes of lessons newly laid out, and of those that stand, under the instructors chosen."""
    moving = {shift.here.pk for shift in shifts}
    standing = _standing(course, moving)
    coming = [lesson for lesson in missing if lesson.date >= today()]
    days = [lesson.date for lesson in (*coming, *standing)]
    if not days:
        return []
    others = [one for one in bookings_between(min(days), max(days)) if one.course != course.pk]
    bookings = [booking_of(lesson, instructors) for lesson in (*coming, *standing)]
    return said_together(clashes_of_all(bookings, others))


def _standing(course: Course, moving: set[int]) -> list[LessonSession]:
    """Lessons to come that stay where they are, under the course's own instructors."""
    if course.pk is None:
        return []
    lessons = to_come(course, today()).filter(instructors__isnull=True).select_related("room", "course")
    return [lesson for lesson in lessons if lesson.pk not in moving]


def _against_halls(course: Course, meetings: Iterable[Meeting], *, people: int) -> list[str]:
    said: list[str] = []
    for meeting in meetings:
        there = LessonSession(course=course, start=meeting.start, minutes=meeting.minutes, room=meeting.room)
        there.date = course.term.first_day
        hall = copy(meeting.room)
        allowed, hall.people = hall.people, None
        there.room = hall
        said.extend(against_the_hall(there, people=people))
        if allowed is not None and people > allowed:
            said.append(f"{hall}: People allowed: {allowed}; with every place taken there are {people}.")
    return list(dict.fromkeys(said))


def _people(course: Course, instructors: Sequence[Person]) -> int:
    return course.places_leaders + course.places_followers + len(instructors)
