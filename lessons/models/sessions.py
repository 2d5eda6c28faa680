"""Lesson sessions: the dated meetings of a course. Cancelled or moved, never deleted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Exists, F, Q
from django.utils import timezone

from lessons.models.courses import Course, InFrontQuerySet
from lessons.models.kinds import LessonKind
from school.clock import today
from school.models import TAKES_LESSONS, Closure, Person, PersonRole, Room

# What a calendar shows of a lesson: whenever one of these is written, the lesson is at its next revision.
IN_CALENDARS = frozenset({"date", "start", "minutes", "room", "room_id", "cancelled_at", "cancelled_because"})


class LessonQuerySet(models.QuerySet["LessonSession"]):
    def update(self, **values: object) -> int:
        if IN_CALENDARS.intersection(values):
            values |= {"revision": F("revision") + 1, "revised_at": timezone.now()}
        return super().update(**values)

    def given(self) -> LessonQuerySet:
        """Lessons that take place: not cancelled."""
        return self.filter(cancelled_at__isnull=True)

    def in_order(self) -> LessonQuerySet:
        return self.order_by("date", "start", "pk")

    def taught_by(self, person: Person) -> LessonQuerySet:
        """Lessons `person` stands in front of: named for the lesson, or, where nobody is, for its course; of
        those to come only while they are an instructor."""
        named = Q(instructors=person)
        course = Q(instructors__isnull=True, course__courseinstructor__person=person)
        teaches = Exists(PersonRole.objects.filter(person=person, role__in=TAKES_LESSONS))
        return self.filter(named | course, teaches | Q(date__lt=today())).distinct()

    def without_record(self) -> LessonQuerySet:
        return self.filter(record__isnull=True)


class LessonSession(models.Model):
    """One dated meeting. Date and start are local: the lesson does not shift when the clocks change.

    `first_date` is the date it was first laid on; it never changes, so a moved lesson is known again.
    """

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="lessons")
    first_date = models.DateField()
    date = models.DateField()
    start = models.TimeField()
    minutes = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="lessons")
    kind = models.CharField(max_length=10, choices=LessonKind, default=LessonKind.ORDINARY)
    instructors = models.ManyToManyField(Person, through="LessonInstructor", related_name="lessons_given")
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_because = models.CharField(max_length=200, blank=True)
    # The days without class it fell out by; empty where this lesson alone was cancelled.
    closure = models.ForeignKey(
        Closure, on_delete=models.SET_NULL, null=True, blank=True, related_name="fallen_out"
    )
    note = models.TextField(blank=True)
    # How often it was moved, cancelled or brought back, and when last: calendars go by it.
    revision = models.PositiveIntegerField(default=0, editable=False)
    revised_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = LessonQuerySet.as_manager()

    class Meta:
        ordering = ["course", "date", "start"]
        constraints = [
            models.UniqueConstraint(
                fields=["course", "date", "start"],
                condition=Q(cancelled_at__isnull=True),
                name="course_meets_once_at_a_time",
                violation_error_message="The course already has a lesson at that time.",
            ),
            models.CheckConstraint(condition=Q(minutes__gte=1), name="lesson_takes_a_minute"),
            models.CheckConstraint(condition=Q(kind__in=LessonKind.values), name="lesson_kind_known"),
        ]
        indexes = [models.Index(fields=["date", "start"])]

    def __str__(self) -> str:
        return f"{self.course_id} on {self.date}"

    def save(self, *, update_fields: Iterable[str] | None = None, **kwargs: Any) -> None:
        """A lesson that was there before is at its next revision when what calendars show is written."""
        written = IN_CALENDARS if update_fields is None else IN_CALENDARS.intersection(update_fields)
        if written and not self._state.adding:
            self.revision, self.revised_at = self.revision + 1, timezone.now()
            if update_fields is not None:
                update_fields = {*update_fields, "revision", "revised_at"}
        super().save(update_fields=update_fields, **kwargs)

    @property
    def is_cancelled(self) -> bool:
        return self.cancelled_at is not None

    @property
    def begins(self) -> dt.datetime:
        """The moment it begins, in the school's zone."""
        return dt.datetime.combine(self.date, self.start, tzinfo=timezone.get_current_timezone())

    @property
    def end(self) -> dt.time:
        """Local time at which the lesson ends, by the wall clock."""
        return (dt.datetime.combine(self.date, self.start) + dt.timedelta(minutes=self.minutes)).time()


class LessonInstructor(models.Model):
    """Who teaches this lesson, where that differs from the course: a cover, a guest."""

    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, on_delete=models.PROTECT)
    covers = models.BooleanField("takes the lesson for somebody", default=False)

    objects = InFrontQuerySet.as_manager()

    class Meta:
        ordering = ["lesson", "pk"]
        constraints = [models.UniqueConstraint(fields=["lesson", "person"], name="lesson_instructor_once")]

    def __str__(self) -> str:
        return f"{self.person_id} gives {self.lesson_id}"
