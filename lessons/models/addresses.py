"""Addresses that open something without signing in: a person's calendar, a course's page for the wall."""

from __future__ import annotations

import uuid

from django.db import models

from school.models import Person


class CalendarAddress(models.Model):
    """One a person. Only the hash of its secret is kept; a new secret ends the old address, and events keep
    their identifiers, for those are made in `events_in`."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="calendar_address")
    secret_hash = models.CharField(max_length=64, unique=True, editable=False)
    events_in = models.UUIDField(default=uuid.uuid4, editable=False)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["person"]

    def __str__(self) -> str:
        return f"calendar of {self.person_id}"
