"""What was sent from a device, so that nothing is written twice, and what a record said before."""

from __future__ import annotations

from django.db import models

from lessons.models.records import LessonRecord
from lessons.models.sessions import LessonSession
from school.models import Person


class RecordSubmission(models.Model):
    """A record as a device sent it, known by an identifier the device made: a hall's network may deliver
    the same one twice, or deliver it and lose the answer."""

    uuid = models.UUIDField(unique=True)
    lesson = models.ForeignKey(LessonSession, on_delete=models.PROTECT, related_name="submissions")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.uuid} for {self.lesson_id}"


class RecordVersion(models.Model):
    """What a record said before it was written anew. `said`: as `lessons.records.past` reads it."""

    record = models.ForeignKey(LessonRecord, on_delete=models.CASCADE, related_name="versions")
    version = models.PositiveIntegerField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    said = models.JSONField()

    class Meta:
        ordering = ["record", "-version"]
        constraints = [models.UniqueConstraint(fields=["record", "version"], name="record_version_kept_once")]

    def __str__(self) -> str:
        return f"record {self.record_id}, version {self.version}"
