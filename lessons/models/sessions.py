"""Lesson sessions: the dated meetings of a course. Cancelled or moved, never deleted."""

from __future__ import annotations

import datetime as dt

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from lessons.models.courses import Course
from lessons.models.kinds import LessonKind
from school.models import Closure, Person, Room


class LessonQuerySet(models.QuerySet["LessonSession"]):
    def given(self) -> LessonQuerySet:
        """Lessons that take place: not cancelled."""
        return self.filter(cancelled_at__isnull=True)

    def in_order(self) -> LessonQuerySet:
        return self.order_by("date", "start", "pk")

    def taught_by(self, person: Person) -> LessonQuerySet:
        """Lessons `person` stands in front of: named for the lesson, or, where nobody is, for its course."""
        named = Q(instructors=person)
        course = Q(instructors__isnull=True, course__courseinstructor__person=person)
        return self.filter(named | course).distinct()

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

    class Meta:
        ordering = ["lesson", "pk"]
        constraints = [models.UniqueConstraint(fields=["lesson", "person"], name="lesson_instructor_once")]

    def __str__(self) -> str:
        return f"{self.person_id} gives {self.lesson_id}"
