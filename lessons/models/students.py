"""What stands against a student's name, per role on the floor: many lead one level and follow another."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from curriculum.models import Figure, FloorRole, Level
from lessons.models.readiness import Requirement
from school.models import Person


class Standing(models.Model):
    """The level a person is on, in one role."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="standings")
    level = models.ForeignKey(Level, on_delete=models.CASCADE)
    role = models.CharField(max_length=1, choices=FloorRole)

    class Meta:
        ordering = ["person", "level"]
        constraints = [models.UniqueConstraint(fields=["person", "level", "role"], name="standing_once")]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.level_id} as {self.role}"


class TaughtElsewhere(models.Model):
    """Ticked on the person: they learnt it in another class."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="taught_elsewhere")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE)
    role = models.CharField(max_length=1, choices=FloorRole)

    class Meta:
        ordering = ["person", "figure"]
        constraints = [
            models.UniqueConstraint(fields=["person", "figure", "role"], name="taught_elsewhere_once")
        ]

    def __str__(self) -> str:
        return f"{self.person_id} knows {self.figure_id}"


class SignOff(models.Model):
    """An instructor's word that a person leads or follows a figure, or has a habit of the school's list.

    Dated and named.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="sign_offs")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, null=True, blank=True)
    habit = models.ForeignKey(
        Requirement, on_delete=models.PROTECT, null=True, blank=True, related_name="sign_offs"
    )
    role = models.CharField(max_length=1, choices=FloorRole)
    day = models.DateField()
    signed_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, related_name="sign_offs_given"
    )

    class Meta:
        ordering = ["person", "figure", "habit"]
        constraints = [
            models.UniqueConstraint(fields=["person", "figure", "role"], name="sign_off_once"),
            models.UniqueConstraint(fields=["person", "habit", "role"], name="habit_signed_off_once"),
            models.CheckConstraint(
                condition=Q(figure__isnull=False, habit__isnull=True)
                | Q(figure__isnull=True, habit__isnull=False),
                name="sign_off_of_figure_or_habit",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id or self.habit_id} signed off for {self.person_id}"


class Mark(models.TextChoices):
    NOT_YET = "not_yet", "not yet"
    THINKING = "thinking", "if I think"
    EASY = "easy", "without thinking"


class OwnNote(models.Model):
    """A student's own words on a figure; nobody else reads them. `version` rises with every change, so that
    what was typed on another device is not lost."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="own_notes")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE)
    text = models.TextField(max_length=2000)
    version = models.PositiveIntegerField(default=1)
    # None: written before this was kept.
    written_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["person", "figure"]
        constraints = [models.UniqueConstraint(fields=["person", "figure"], name="own_note_once")]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.figure_id}"


class OwnMark(models.Model):
    """A student's own mark on a figure; nobody else reads it. `marked_at`: when they touched it, which for
    one that waited without network is before it came here."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="own_marks")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE)
    role = models.CharField(max_length=1, choices=FloorRole)
    mark = models.CharField(max_length=8, choices=Mark)
    # None: marked before this was kept.
    marked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["person", "figure"]
        constraints = [models.UniqueConstraint(fields=["person", "figure", "role"], name="own_mark_once")]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.figure_id}: {self.mark}"
