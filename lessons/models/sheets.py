"""What an instructor changed of one lesson's run-sheet: order, minutes, what is left out, what is added."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from curriculum.models import Figure, Piece
from lessons.models.sessions import LessonSession
from school.models import Person

MOST_MINUTES = 240


class SheetChange(models.Model):
    """One lesson's sheet as somebody wants it. `version` rises with every change, so that a second writer
    is told and nothing is overwritten."""

    lesson = models.OneToOneField(LessonSession, on_delete=models.CASCADE, related_name="sheet_change")
    version = models.PositiveIntegerField(default=1)
    changed_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["lesson"]

    def __str__(self) -> str:
        return f"sheet of {self.lesson_id} changed"


class SheetSegment(models.Model):
    """A segment in its place: one of the planned sheet (`kind`, and the figure it is about), or one of the
    instructor's own (`title`). `minutes`: kept exactly; empty where they are fitted. `piece`: the music of
    the school's own list; empty where the tempo is enough."""

    change = models.ForeignKey(SheetChange, on_delete=models.CASCADE, related_name="segments")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=12, blank=True)
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    title = models.CharField(max_length=80, blank=True)
    minutes = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_MINUTES)]
    )
    left_out = models.BooleanField(default=False)
    piece = models.ForeignKey(Piece, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["change", "position"]
        constraints = [
            models.UniqueConstraint(fields=["change", "position"], name="sheet_segment_place_once"),
            models.CheckConstraint(
                condition=Q(kind="", figure__isnull=True) & ~Q(title="") | ~Q(kind="") & Q(title=""),
                name="sheet_segment_planned_or_own",
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__range=(1, MOST_MINUTES)),
                name="sheet_segment_keeps_a_minute",
            ),
        ]

    def __str__(self) -> str:
        return self.title or self.kind
