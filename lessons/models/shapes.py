"""Lesson shapes: kinds of segment with their least, ideal and most minutes, in order."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from lessons.models.kinds import LessonKind


class SegmentKind(models.TextChoices):
    ARRIVE = "arrive", "arrive and register"
    WARM_UP = "warm_up", "warm-up"
    RECAP = "recap", "last time"
    REVIEW = "review", "again"
    NEW = "new", "new"
    ROUTINE = "routine", "routine"
    PRACTICE = "practice", "practice to music"
    CLOSE = "close", "close and notices"


class LessonShape(models.Model):
    name = models.CharField(max_length=60, unique=True)
    is_default = models.BooleanField(default=False)
    for_kind = models.CharField(
        "for lessons of this kind",
        max_length=10,
        blank=True,
        choices=LessonKind,
        help_text="a revision, a workshop and the like have a shape of their own",
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["for_kind"],
                condition=~Q(for_kind=""),
                name="one_shape_for_a_kind_of_lesson",
                violation_error_message="Another shape is for lessons of this kind already.",
            ),
            models.CheckConstraint(
                condition=Q(for_kind__in=["", *LessonKind.values]), name="shape_kind_of_lesson_known"
            ),
            models.UniqueConstraint(
                fields=["is_default"], condition=Q(is_default=True), name="one_shape_is_the_default"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ShapeSegment(models.Model):
    """A kind of segment. NEW and REVIEW stand for as many segments as the evening has figures."""

    shape = models.ForeignKey(LessonShape, on_delete=models.CASCADE, related_name="segments")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=12, choices=SegmentKind)
    least = models.PositiveSmallIntegerField(default=0)
    ideal = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    most = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    give_way = models.PositiveSmallIntegerField(default=0, help_text="what goes first when time is short")

    class Meta:
        ordering = ["shape", "position"]
        constraints = [
            models.UniqueConstraint(fields=["shape", "position"], name="shape_segment_place_once"),
            models.UniqueConstraint(fields=["shape", "kind"], name="shape_segment_kind_once"),
            models.CheckConstraint(
                condition=Q(ideal__gte=F("least"), most__gte=F("ideal")) & Q(most__gte=1),
                name="shape_segment_minutes_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.kind
