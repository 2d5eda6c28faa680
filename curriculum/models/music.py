"""A school's own list of music: what its owner types of each piece. No files, and nothing is looked up."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from curriculum.models.dances import Dance

SLOWEST, QUICKEST = Decimal(30), Decimal(400)
LONGEST_SECONDS = 30 * 60


class Piece(models.Model):
    """A piece of music for one dance. `seconds`: all of it; `intro_beats`: those before the first step."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="pieces")
    title = models.CharField(max_length=120)
    beats_per_minute = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(SLOWEST), MaxValueValidator(QUICKEST)],
    )
    seconds = models.PositiveSmallIntegerField(
        "length in seconds", validators=[MinValueValidator(1), MaxValueValidator(LONGEST_SECONDS)]
    )
    intro_beats = models.PositiveSmallIntegerField("beats before the dancing begins", default=0)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["dance", "title"]
        verbose_name_plural = "pieces of music"
        constraints = [
            models.UniqueConstraint(fields=["dance", "title"], name="piece_title_once_a_dance"),
            models.CheckConstraint(condition=Q(beats_per_minute__gt=0), name="piece_has_a_tempo"),
            models.CheckConstraint(condition=Q(seconds__gte=1), name="piece_lasts"),
        ]

    def __str__(self) -> str:
        return self.title
