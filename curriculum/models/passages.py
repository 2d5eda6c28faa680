"""Passages: the ways through a figure, from the stance it starts in to the stance it ends in."""

from __future__ import annotations

from fractions import Fraction

from django.db import models
from django.db.models import Q

from curriculum.models.charts import Foot, StepChart
from curriculum.models.dances import TICKS_PER_BEAT, Hold
from curriculum.models.figures import Figure


class Passage(models.Model):
    """One way in and out. An empty hold or foot at the entry means any; an empty exit place means it stays.

    Place: the slot's end where the follower stands (0, 1), or the direction the leader faces, 0 to 7
    from the line of dance clockwise. Exit foot and place are typed only until a chart exists.
    """

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="passages")
    position = models.PositiveSmallIntegerField(default=0)
    label = models.CharField(max_length=40, blank=True, help_text="e.g. 4 to 6")
    ticks = models.PositiveIntegerField("length", null=True, blank=True, help_text="empty: as the figure")
    entry_hold = models.ForeignKey(
        Hold, on_delete=models.PROTECT, null=True, blank=True, related_name="passages_in"
    )
    entry_foot = models.CharField(max_length=1, choices=Foot, blank=True)
    entry_place = models.PositiveSmallIntegerField(null=True, blank=True)
    exit_hold = models.ForeignKey(
        Hold, on_delete=models.PROTECT, null=True, blank=True, related_name="passages_out"
    )
    exit_foot = models.CharField(max_length=1, choices=Foot, blank=True)
    exit_place = models.PositiveSmallIntegerField(null=True, blank=True)
    give = models.PositiveSmallIntegerField("may be turned more or less by", default=0)
    chart = models.ForeignKey(
        StepChart, on_delete=models.SET_NULL, null=True, blank=True, related_name="passages"
    )

    class Meta:
        ordering = ["figure", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["figure", "position"], name="passage_place_once"),
            models.CheckConstraint(
                condition=Q(ticks__isnull=True) | Q(ticks__gte=1), name="passage_has_length"
            ),
            models.CheckConstraint(
                condition=(Q(entry_place__isnull=True) | Q(entry_place__lte=7))
                & (Q(exit_place__isnull=True) | Q(exit_place__lte=7)),
                name="passage_place_known",
            ),
            models.CheckConstraint(condition=Q(give__lte=4), name="passage_give_in_eighths"),
        ]

    def __str__(self) -> str:
        return self.label or "whole"

    @property
    def beats(self) -> Fraction:
        """Length in beats; reads the figure where the passage has none of its own."""
        return Fraction(self.ticks or self.figure.ticks or 0, TICKS_PER_BEAT)
