"""A link that gives another instructor one lesson on one page, until the next morning."""

from __future__ import annotations

import datetime as dt

from django.db import models

from lessons.models.sessions import LessonSession
from school.models import Person


class CoverLinkQuerySet(models.QuerySet["CoverLink"]):
    def live(self, moment: dt.datetime) -> CoverLinkQuerySet:
        """Links that open at `moment`: not withdrawn, not yet ended."""
        return self.filter(withdrawn_at__isnull=True, ends_at__gt=moment)


class CoverLink(models.Model):
    """Only the SHA-256 of the link's secret is kept: who reads the database cannot open the page."""

    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="cover_links")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="cover_links_made"
    )
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = CoverLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"link to {self.lesson_id} until {self.ends_at:%Y-%m-%d %H:%M}"
