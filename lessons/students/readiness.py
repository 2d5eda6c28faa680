"""Ready for the next level: the school's list, what of it is signed off, and who is ready."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from curriculum.models import FloorRole, Level
from lessons.models import Course, Enrolment, Requirement, SignOff
from school.clock import today
from school.models import Person

# (person, "figure" or "habit", its key, role)
SignOffKey = tuple[int, str, int, str]


@dataclass(frozen=True)
class ReadyLine:
    """A line of the list, and who signed it off when; None while it is open."""

    requirement: Requirement
    sign_off: SignOff | None

    @property
    def is_habit(self) -> bool:
        return self.requirement.figure_id is None


@dataclass(frozen=True)
class ReadyList:
    """What one person is asked for in one role."""

    person: Person
    role: str
    lines: tuple[ReadyLine, ...]

    @property
    def role_label(self) -> str:
        return str(FloorRole(self.role).label)

    @property
    def figures(self) -> list[ReadyLine]:
        return [line for line in self.lines if not line.is_habit]

    @property
    def habits(self) -> list[ReadyLine]:
        return [line for line in self.lines if line.is_habit]

    @property
    def signed(self) -> int:
        return sum(line.sign_off is not None for line in self.lines)

    @property
    def open(self) -> list[ReadyLine]:
        return [line for line in self.lines if line.sign_off is None]

    @property
    def is_ready(self) -> bool:
        """All of it is signed off; an empty list says nothing about anybody."""
        return bool(self.lines) and not self.open


@dataclass(frozen=True)
class CourseReady:
    """A course on the school's page. lists: those who are furthest, by how little of theirs is open; ready,
    people: of all of them; more: how many stand on the course's own page besides."""

    course: Course
    lists: tuple[ReadyList, ...]
    ready: int
    people: int

    @property
    def more(self) -> int:
        return self.people - len(self.lists)


def furthest(course: Course, lists: Sequence[ReadyList], most: int) -> CourseReady:
    """Who is ready and who is nearly, `most` of them; each as often as they dance roles."""
    in_order = sorted(lists, key=lambda one: (len(one.open), one.person.name))
    return CourseReady(course, tuple(in_order[:most]), sum(one.is_ready for one in lists), len(lists))


def ready_lists(course: Course, person: Person) -> list[ReadyList]:
    """The lists of somebody in the course: in the role they took, and in the other too if they dance both.
    Three queries."""
    rows = Enrolment.objects.filter(course=course, person=person, waiting=False).order_by("-joined")
    enrolled = rows.first()
    return _lists(_requirements([course])[course.pk], [enrolled]) if enrolled else []


def course_readiness(course: Course) -> list[ReadyList]:
    """Everybody in the course by name, each role they dance. Three queries."""
    return school_readiness([course])[course.pk]


def school_readiness(courses: Sequence[Course]) -> dict[int, list[ReadyList]]:
    """Course (pk) -> everybody in it. Three queries for any number of courses with their `levels`."""
    still = Q(left__isnull=True) | Q(left__gt=today())
    rows = Enrolment.objects.filter(still, course__in=courses, waiting=False).select_related("person")
    people: dict[int, list[Enrolment]] = {course.pk: [] for course in courses}
    for row in rows.order_by("person__name", "pk"):
        people[row.course_id].append(row)
    requirements = _requirements(courses)
    signed = _signed(
        (row for enrolled in people.values() for row in enrolled),
        (line for lines in requirements.values() for line in lines),
    )
    return {pk: _lists(requirements[pk], enrolled, signed) for pk, enrolled in people.items()}


def next_level(course: Course) -> Level | None:
    """The rung above the course's highest. One query."""
    highest = max((level.rank for level in course.levels.all()), default=0)
    return Level.objects.filter(dance=course.dance_id, rank__gt=highest).order_by("rank").first()


def _requirements(courses: Sequence[Course]) -> dict[int, list[Requirement]]:
    """Course (pk) -> the lines of its levels, in order. One query."""
    levels = {course.pk: {level.pk for level in course.levels.all()} for course in courses}
    wanted = set().union(*levels.values()) if levels else set()
    rows = Requirement.objects.filter(level__in=wanted).select_related("figure")
    lines = list(rows.order_by("level__rank", "position", "pk"))
    return {pk: [line for line in lines if line.level_id in own] for pk, own in levels.items()}


def _signed(enrolled: Iterable[Enrolment], lines: Iterable[Requirement]) -> dict[SignOffKey, SignOff]:
    """One query."""
    asked = list(lines)
    rows = SignOff.objects.filter(
        Q(figure__in=[line.figure_id for line in asked if line.figure_id])
        | Q(habit__in=[line.pk for line in asked if not line.figure_id]),
        person__in={row.person_id for row in enrolled},
    )
    return {_key_of(row): row for row in rows.select_related("signed_by")}


def _key_of(row: SignOff) -> SignOffKey:
    if row.figure_id is not None:
        return row.person_id, "figure", row.figure_id, row.role
    return row.person_id, "habit", row.habit_id or 0, row.role


def _lists(
    lines: Sequence[Requirement],
    enrolled: Sequence[Enrolment],
    signed: Mapping[SignOffKey, SignOff] | None = None,
) -> list[ReadyList]:
    if signed is None:
        signed = _signed(enrolled, lines)
    return [
        ReadyList(row.person, role, tuple(_line(line, row.person_id, role, signed) for line in asked))
        for row in enrolled
        for role in _roles(row)
        for asked in [[line for line in lines if line.is_asked_of(role)]]
    ]


def _roles(row: Enrolment) -> list[str]:
    """The role they took first."""
    others = [role.value for role in FloorRole if role.value != row.role]
    return [row.role, *(others if row.dances_both else ())]


def _line(line: Requirement, person: int, role: str, signed: Mapping[SignOffKey, SignOff]) -> ReadyLine:
    kind, key = ("figure", line.figure_id) if line.figure_id else ("habit", line.pk)
    return ReadyLine(line, signed.get((person, kind, key, role)))
