"""Step charts: a figure count by count, for each role."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from curriculum.models.dances import Hold
from curriculum.models.figures import Figure


class FloorRole(models.TextChoices):
    """Roles on the floor; anyone dances either."""

    LEADER = "L", "leader"
    FOLLOWER = "F", "follower"


class Foot(models.TextChoices):
    LEFT = "L", "left"
    RIGHT = "R", "right"


class StepChart(models.Model):
    """One chart of a figure; passages that are danced alike share it."""

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="charts")
    name = models.CharField(max_length=80, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["figure", "pk"]

    def __str__(self) -> str:
        return self.name or str(self.figure_id)


class ChartStep(models.Model):
    """A row of a chart for one role. `turn`: eighths, right positive, ending on this step."""

    chart = models.ForeignKey(StepChart, on_delete=models.CASCADE, related_name="steps")
    role = models.CharField(max_length=1, choices=FloorRole)
    position = models.PositiveSmallIntegerField()
    count = models.CharField(max_length=8)
    ticks = models.PositiveSmallIntegerField(help_text="12 to the beat")
    foot = models.CharField(max_length=1, choices=Foot, blank=True)
    action = models.CharField(max_length=20)
    direction = models.CharField(max_length=60, blank=True)
    turn = models.SmallIntegerField(default=0)
    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, null=True, blank=True)
    cue = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["chart", "role", "position"]
        constraints = [
            models.UniqueConstraint(fields=["chart", "role", "position"], name="chart_step_place_once"),
            models.CheckConstraint(condition=Q(ticks__gte=1), name="chart_step_lasts"),
            models.CheckConstraint(condition=Q(role__in=FloorRole.values), name="chart_step_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.foot} {self.action}"
