"""The school itself and its rooms."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


def check_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"“{name}” is not a time zone. Write it like Europe/London.")


class School(models.Model):
    """The one school of this database."""

    class Moves(models.TextChoices):
        FOLLOWERS = "followers", "followers move on"
        LEADERS = "leaders", "leaders move on"

    name = models.CharField(max_length=120)
    town = models.CharField(max_length=120, blank=True)
    time_zone = models.CharField(max_length=64, default="Europe/London", validators=[check_zone])
    who_moves = models.CharField(max_length=10, choices=Moves, default=Moves.FOLLOWERS)
    minutes_with_a_partner = models.PositiveSmallIntegerField(
        "minutes with one partner", default=3, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    first_aid = models.TextField("first aider and exits", blank=True)
    safeguarding = models.TextField("named safeguarding person and house rules", blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="school_is_the_only_one")]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        self.pk = 1
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @classmethod
    def current(cls) -> School | None:
        """The school's row, or None before it has been set up. One query."""
        return cls.objects.first()


class Room(models.Model):
    name = models.CharField(max_length=80, unique=True)
    length_metres = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    width_metres = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    floor = models.CharField(max_length=80, blank=True)
    people = models.PositiveSmallIntegerField("people allowed", null=True, blank=True)
    travelling_dances = models.BooleanField(default=True)
    music_off = models.TimeField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
