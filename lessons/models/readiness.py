"""What the school asks for before the next level: figures and habits, danced in a role."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from curriculum.models import Figure, FloorRole, Level


class Requirement(models.Model):
    """One line of a level's list: a figure or a habit. An empty role: asked of leaders and of followers."""

    level = models.ForeignKey(Level, on_delete=models.CASCADE, related_name="requirements")
    position = models.PositiveSmallIntegerField("place", default=0)
    figure = models.ForeignKey(
        Figure, on_delete=models.CASCADE, null=True, blank=True, related_name="required_for"
    )
    habit = models.CharField(max_length=120, blank=True)
    role = models.CharField("asked of", max_length=1, choices=FloorRole, blank=True)

    class Meta:
        ordering = ["level", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(figure__isnull=False, habit="") | (Q(figure__isnull=True) & ~Q(habit="")),
                name="requirement_is_figure_or_habit",
            ),
            models.CheckConstraint(
                condition=Q(role__in=["", *FloorRole.values]), name="requirement_role_known"
            ),
            models.UniqueConstraint(
                fields=["level", "figure"],
                name="requirement_figure_once_a_level",
                violation_error_message="This figure stands in the list already.",
            ),
        ]

    def __str__(self) -> str:
        return self.figure.name if self.figure else self.habit

    def is_asked_of(self, role: str) -> bool:
        """Whether somebody who dances `role` ("L" or "F") is asked for it."""
        return self.role in ("", role)
