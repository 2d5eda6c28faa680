"""A link that gives another instructor one lesson on one page, until the morning after."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.utils import timezone

from lessons.models.sessions import LessonSession
from school.models import OpenedBySecret, Person

ENDS = dt.time(6)
"""On the morning after the lesson, by the school's clock."""


def link_ends(lesson: LessonSession) -> dt.datetime:
    """Six o'clock on the morning after the lesson as its date stands, in the school's zone."""
    return dt.datetime.combine(
        lesson.date + dt.timedelta(days=1), ENDS, tzinfo=timezone.get_current_timezone()
    )


class CoverLinkQuerySet(models.QuerySet["CoverLink"]):
    def live(self, moment: dt.datetime) -> CoverLinkQuerySet:
        """Links that open at `moment`: not withdrawn, and it is before six on the lesson's next morning."""
        here = timezone.localtime(moment)
        since = here.date() - dt.timedelta(days=1 if here.time() < ENDS else 0)
        return self.filter(withdrawn_at__isnull=True, lesson__date__gte=since)


class CoverLink(OpenedBySecret):
    """When it ends follows from the lesson: moved to another day, the link goes with it."""

    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="cover_links")
    made_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="cover_links_made"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = CoverLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"link to {self.lesson_id}, made {self.made_at:%Y-%m-%d %H:%M}"

    @property
    def ends_at(self) -> dt.datetime:
        return link_ends(self.lesson)
