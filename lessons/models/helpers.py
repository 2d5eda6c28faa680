"""Helpers who can be called: they even up the numbers of an evening without being enrolled in its course."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from curriculum.models import Dance, FloorRole
from lessons.models.sessions import LessonSession
from school.models import Person


class HelperRole(models.TextChoices):
    """What a helper can dance."""

    LEADER = "L", "leads"
    FOLLOWER = "F", "follows"
    EITHER = "B", "dances either role"


class HelperQuerySet(models.QuerySet["Helper"]):
    def who_dance(self, dance: int) -> HelperQuerySet:
        """Those at the school who dance it (pk), by name; whoever names no dance dances all."""
        knows = Q(dances=None) | Q(dances=dance)
        return self.filter(knows, person__is_active=True).select_related("person").distinct()


class Helper(models.Model):
    """Somebody who may be called, until they are taken off the list. dances: those they help with, all where
    none is named."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="helper")
    role = models.CharField("can dance as", max_length=1, choices=HelperRole)
    dances = models.ManyToManyField(Dance, blank=True, related_name="+")

    objects = HelperQuerySet.as_manager()

    class Meta:
        ordering = ["person__name", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=HelperRole.values), name="helper_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.role}"


class HelperCall(models.Model):
    """Called for one lesson, to dance one role in it. Who was there in the end its record says."""

    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="helper_calls")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="helper_calls")
    role = models.CharField("role on the floor", max_length=1, choices=FloorRole)
    called_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="helpers_called"
    )
    called_at = models.DateTimeField()

    class Meta:
        ordering = ["lesson", "called_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["lesson", "person"], name="helper_called_once_a_lesson"),
            models.CheckConstraint(condition=Q(role__in=FloorRole.values), name="helper_call_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} called for {self.lesson_id}"
