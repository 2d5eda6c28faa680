"""What was changed in a draft, step by step: each can be taken back, and everybody sees the others'."""

from __future__ import annotations

from django.db import models

from lessons.models.plans import TermPlan
from school.models import Person


class DraftStep(models.Model):
    """One change of a draft. `version`: the draft's version that it made; `said`: what it did, in sentences.

    `before`: how every figure (and every set) that it touched stood before, as `lessons.actions.steps` reads
    and writes it. `taken_back`: the version with which it was taken back, None while it holds.
    """

    plan = models.ForeignKey(TermPlan, on_delete=models.CASCADE, related_name="steps")
    version = models.PositiveIntegerField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    said = models.JSONField(default=list)
    before = models.JSONField(default=dict)
    taken_back = models.PositiveIntegerField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["plan", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "version"], name="draft_step_once_a_version"),
        ]

    def __str__(self) -> str:
        return " ".join(self.said)
