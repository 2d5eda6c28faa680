"""Terms and the days without class."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import F, Q

from school.models.places import Room


class TermQuerySet(models.QuerySet["Term"]):
    def on(self, day: dt.date) -> TermQuerySet:
        """Terms that `day` lies in."""
        return self.filter(first_day__lte=day, last_day__gte=day)

    def overlapping(self, term: Term) -> TermQuerySet:
        """Other terms that have days in common with `term`, saved or not; the earliest first."""
        rows = self.exclude(pk=term.pk) if term.pk else self
        return rows.filter(first_day__lte=term.last_day, last_day__gte=term.first_day).order_by("first_day")

    def nearest(self, day: dt.date) -> Term | None:
        """The term of `day`; else the next to come; else the last that was. At most three queries."""
        return (
            self.on(day).order_by("first_day").first()
            or self.filter(first_day__gt=day).order_by("first_day").first()
            or self.order_by("-first_day").first()
        )


class Term(models.Model):
    name = models.CharField(max_length=80, unique=True)
    first_day = models.DateField()
    last_day = models.DateField()

    objects = TermQuerySet.as_manager()

    class Meta:
        ordering = ["-first_day"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="term_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def shared_with(self, other: Term) -> tuple[dt.date, dt.date] | None:
        """The first and the last day that lie in both; None where none does."""
        first, last = max(self.first_day, other.first_day), min(self.last_day, other.last_day)
        return (first, last) if first <= last else None


class ClosureQuerySet(models.QuerySet["Closure"]):
    def on(self, day: dt.date, room: Room | None) -> Closure | None:
        """Why there is no class that day in the room, or anywhere. One query."""
        where = Q(room=None) if room is None else Q(room=None) | Q(room=room)
        return self.filter(where, first_day__lte=day, last_day__gte=day).first()


class Closure(models.Model):
    """Days without class: the whole school, or one room."""

    first_day = models.DateField()
    last_day = models.DateField()
    reason = models.CharField(max_length=120)
    room = models.ForeignKey(Room, on_delete=models.CASCADE, null=True, blank=True)

    objects = ClosureQuerySet.as_manager()

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="closure_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"no class {self.first_day}: {self.reason}"

    def days(self) -> list[dt.date]:
        return [
            self.first_day + dt.timedelta(days=step)
            for step in range((self.last_day - self.first_day).days + 1)
        ]
