"""Lesson records: what was really taught, how it went, who was there. Taught means recorded."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from curriculum.models import Figure, FloorRole
from lessons.models.sessions import LessonSession
from school.models import Person


class Outcome(models.TextChoices):
    INTRODUCED = "introduced", "introduced"
    FINISH_LATER = "finish_later", "to finish later"
    NOT_REACHED = "not_reached", "not reached"
    REVIEWED = "reviewed", "done again"


class Wellness(models.TextChoices):
    """How it went."""

    SOLID = "solid", "solid"
    SHAKY = "shaky", "shaky"
    NOT_YET = "not_yet", "not there yet"


class LessonRecord(models.Model):
    lesson = models.OneToOneField(LessonSession, on_delete=models.PROTECT, related_name="record")
    note = models.TextField("note to the next instructor", blank=True)
    unnamed_guests = models.PositiveSmallIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)
    recorded_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="records_written"
    )
    recorded_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["lesson__date", "pk"]

    def __str__(self) -> str:
        return f"record of {self.lesson_id}"


class PlannedSheet(models.Model):
    """The run-sheet as it stood when the lesson was first written up. `said`: as `lessons.run_sheet.kept`
    reads it. Apart from the record, for lists of lessons fetch records by the dozen."""

    record = models.OneToOneField(LessonRecord, on_delete=models.CASCADE, related_name="planned_sheet")
    said = models.JSONField()

    class Meta:
        ordering = ["record"]

    def __str__(self) -> str:
        return f"planned for {self.record_id}"


class RecordedFigure(models.Model):
    record = models.ForeignKey(LessonRecord, on_delete=models.CASCADE, related_name="figures")
    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="recorded")
    outcome = models.CharField(max_length=12, choices=Outcome)
    went = models.CharField(max_length=8, choices=Wellness, blank=True)
    minutes_owed = models.PositiveSmallIntegerField(
        "minutes still needed", null=True, blank=True, validators=[MinValueValidator(1)]
    )

    class Meta:
        ordering = ["record", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["record", "figure"], name="figure_recorded_once_a_lesson"),
            models.CheckConstraint(condition=Q(outcome__in=Outcome.values), name="record_outcome_known"),
            models.CheckConstraint(
                condition=Q(minutes_owed__isnull=True) | Q(minutes_owed__gte=1), name="record_owes_a_minute"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id} {self.outcome}"


class Attendance(models.Model):
    """A named person who was there. Guests without a name are only counted."""

    record = models.ForeignKey(LessonRecord, on_delete=models.CASCADE, related_name="attendance")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="attendance")
    role = models.CharField(max_length=1, choices=FloorRole, blank=True)

    class Meta:
        ordering = ["record", "person__name"]
        constraints = [models.UniqueConstraint(fields=["record", "person"], name="attendance_once")]

    def __str__(self) -> str:
        return f"{self.person_id} was there"
