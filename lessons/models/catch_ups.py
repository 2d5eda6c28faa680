"""Catch-up lessons: somebody who missed a lesson asks to come to one of the parallel course."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models.sessions import LessonSession
from school.models import Person


class CatchUpState(models.TextChoices):
    ASKED = "asked", "asked"
    CONFIRMED = "confirmed", "confirmed"
    DECLINED = "declined", "declined"
    WITHDRAWN = "withdrawn", "withdrawn"


# Whoever has asked holds the place until the instructor answers.
HOLDING = (CatchUpState.ASKED, CatchUpState.CONFIRMED)


class CatchUpQuerySet(models.QuerySet["CatchUp"]):
    def holding(self) -> CatchUpQuerySet:
        """Those that hold a place: asked and not answered yet, or confirmed."""
        return self.filter(state__in=HOLDING)


class CatchUp(models.Model):
    """`lesson`: the one somebody comes to; `missed`: the one of their own course they make good for, or their
    partner does, where they come along."""

    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="catch_ups")
    missed = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="caught_up_in")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="catch_ups")
    role = models.CharField("role on the floor", max_length=1, choices=FloorRole)
    comes_along = models.BooleanField("comes along with a partner", default=False)
    state = models.CharField(max_length=9, choices=CatchUpState, default=CatchUpState.ASKED)
    asked_at = models.DateTimeField()
    answered_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="catch_ups_answered"
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    objects = CatchUpQuerySet.as_manager()

    class Meta:
        ordering = ["lesson", "asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["lesson", "person"], name="catch_up_once_a_lesson"),
            models.CheckConstraint(condition=Q(state__in=CatchUpState.values), name="catch_up_state_known"),
            models.CheckConstraint(condition=Q(role__in=FloorRole.values), name="catch_up_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} comes to {self.lesson_id}: {self.state}"

    @property
    def is_confirmed(self) -> bool:
        return self.state == CatchUpState.CONFIRMED

    @property
    def is_asked(self) -> bool:
        return self.state == CatchUpState.ASKED
