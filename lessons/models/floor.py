"""Who is on the floor together: two not to be paired, and which of two instructors shows and leads."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from lessons.models.sessions import LessonSession
from school.models import Person


class NotPairedQuerySet(models.QuerySet["NotPaired"]):
    def among(self, people: set[int]) -> NotPairedQuerySet:
        """Pairs of which both (pk) are in `people`."""
        return self.filter(person__in=people, other__in=people)


class NotPaired(models.Model):
    """Two who do not dance together. Why is nobody's business and stands nowhere.

    One row for two people, whoever was named first: `person` is the one with the smaller key.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    other = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")

    objects = NotPairedQuerySet.as_manager()

    class Meta:
        ordering = ["person__name", "other__name"]
        constraints = [
            models.UniqueConstraint(fields=["person", "other"], name="not_paired_once"),
            models.CheckConstraint(condition=Q(person__lt=F("other")), name="not_paired_smaller_key_first"),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} and {self.other_id}"


class TeachingPair(models.Model):
    """Two in front of one lesson: who shows, and who leads where both dance it (the other follows)."""

    lesson = models.OneToOneField(LessonSession, on_delete=models.CASCADE, related_name="teaching_pair")
    shows = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    leads = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")

    class Meta:
        ordering = ["lesson"]

    def __str__(self) -> str:
        return f"{self.shows_id} shows in {self.lesson_id}"
