"""Routines: figures in a row, each by a chosen passage."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from curriculum.models.dances import Level
from curriculum.models.passages import Passage


class Routine(models.Model):
    """A level's routine; it may go on from the routine of the level below."""

    level = models.ForeignKey(Level, on_delete=models.CASCADE, related_name="routines")
    name = models.CharField(max_length=80)
    continues = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="continued_by"
    )
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["level__dance", "level__rank", "name"]
        constraints = [
            models.UniqueConstraint(fields=["level", "name"], name="routine_name_once_a_level"),
            models.CheckConstraint(
                condition=~Q(continues=F("pk")) | Q(continues__isnull=True),
                name="routine_does_not_continue_itself",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class RoutineItem(models.Model):
    """A passage danced, or a corner of the room (no passage): no length, the room turns."""

    routine = models.ForeignKey(Routine, on_delete=models.CASCADE, related_name="items")
    position = models.PositiveIntegerField()
    passage = models.ForeignKey(Passage, on_delete=models.PROTECT, null=True, blank=True)
    is_corner = models.BooleanField(default=False)

    class Meta:
        ordering = ["routine", "position"]
        constraints = [
            models.UniqueConstraint(fields=["routine", "position"], name="routine_place_once"),
            models.CheckConstraint(
                condition=Q(is_corner=True, passage__isnull=True) | Q(is_corner=False, passage__isnull=False),
                name="routine_item_is_passage_or_corner",
            ),
        ]

    def __str__(self) -> str:
        return "corner" if self.is_corner else str(self.passage_id)


class RoutineVersion(models.Model):
    """A routine as it stood at one version, whole. `snapshot`: see curriculum.routine_history. `brings_back`:
    the version this one repeats, where it undid something. `by` is empty for how a routine stood when its
    history begins, and for changes by a command."""

    routine = models.ForeignKey(Routine, on_delete=models.CASCADE, related_name="versions")
    version = models.PositiveIntegerField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()
    snapshot = models.JSONField()
    brings_back = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["routine", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["routine", "version"], name="routine_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.routine_id}, version {self.version}"
