"""Addresses that open something without signing in: a person's calendar, a course's page for the wall."""

from __future__ import annotations

import datetime as dt
import uuid

from django.db import models
from django.db.models import Q

from lessons.models.courses import Course
from school.models import OpenedBySecret, Person


class CalendarAddress(OpenedBySecret):
    """One a person. A new secret ends the old address, and events keep their identifiers, for those are made
    in `events_in`."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="calendar_address")
    events_in = models.UUIDField(default=uuid.uuid4, editable=False)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["person"]

    def __str__(self) -> str:
        return f"calendar of {self.person_id}"


class WallAddressQuerySet(models.QuerySet["WallAddress"]):
    def live(self, day: dt.date) -> WallAddressQuerySet:
        """Those that open on `day`: not withdrawn, and their term is not over where they end with it."""
        open_still = Q(ends_with_term=False) | Q(course__term__last_day__gte=day)
        return self.filter(open_still, withdrawn_at__isnull=True)


class WallAddress(OpenedBySecret):
    """A course's page for whoever reads the wall: the level and what of it was taught, and nobody's name."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="wall_addresses")
    ends_with_term = models.BooleanField("ends with the term", default=True)
    made_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="wall_addresses_made"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = WallAddressQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"wall of {self.course_id}"
