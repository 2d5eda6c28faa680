"""What a figure looked like, each time somebody changed it."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from curriculum.models.figures import Figure


class FigureVersion(models.Model):
    """A figure as it stood at one version, whole. `snapshot`: see curriculum.snapshot. `by` is empty for how
    a figure stood when its history begins, and for changes by a command."""

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="versions")
    version = models.PositiveIntegerField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField()
    snapshot = models.JSONField()

    class Meta:
        ordering = ["figure", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["figure", "version"], name="figure_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id}, version {self.version}"
