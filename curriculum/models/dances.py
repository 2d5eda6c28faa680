"""Dances, their ladder of levels, their rhythms, and the ways a couple can be joined."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

TICKS_PER_BEAT = 12


class FloorUse(models.TextChoices):
    TRAVELS = "travels", "travels round the room"
    SLOT = "slot", "on a slot"
    SPOT = "spot", "on the spot"


class Dance(models.Model):
    name = models.CharField(max_length=80, unique=True)
    beats_per_bar = models.PositiveSmallIntegerField(
        default=4, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    beat_unit = models.PositiveSmallIntegerField(default=4, help_text="the 4 of 3/4")
    bars_per_phrase = models.PositiveSmallIntegerField(default=8)
    slowest_bars_per_minute = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    quickest_bars_per_minute = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    floor_use = models.CharField(max_length=8, choices=FloorUse, default=FloorUse.SPOT)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(beats_per_bar__gte=1), name="dance_bar_has_beats"),
            models.CheckConstraint(condition=Q(floor_use__in=FloorUse.values), name="dance_floor_use_known"),
            models.CheckConstraint(
                condition=Q(slowest_bars_per_minute__isnull=True)
                | Q(quickest_bars_per_minute__isnull=True)
                | Q(quickest_bars_per_minute__gte=F("slowest_bars_per_minute")),
                name="dance_tempo_range_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Rhythm(models.Model):
    """A named unit of counts, e.g. cha-cha 2 3 4 & 1, which begins on beat 2 of the bar."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="rhythms")
    name = models.CharField(max_length=60)
    begins_on_beat = models.PositiveSmallIntegerField(default=1)
    source = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["dance", "name"]
        constraints = [
            models.UniqueConstraint(fields=["dance", "name"], name="rhythm_name_once_a_dance"),
            models.CheckConstraint(condition=Q(begins_on_beat__gte=1), name="rhythm_begins_on_a_beat"),
        ]

    def __str__(self) -> str:
        return self.name


class RhythmCount(models.Model):
    rhythm = models.ForeignKey(Rhythm, on_delete=models.CASCADE, related_name="counts")
    position = models.PositiveSmallIntegerField()
    count = models.CharField(max_length=8)
    ticks = models.PositiveSmallIntegerField(help_text="12 to the beat")

    class Meta:
        ordering = ["rhythm", "position"]
        constraints = [
            models.UniqueConstraint(fields=["rhythm", "position"], name="rhythm_count_place_once"),
            models.CheckConstraint(condition=Q(ticks__gte=1), name="rhythm_count_lasts"),
        ]

    def __str__(self) -> str:
        return self.count


class Level(models.Model):
    """A rung of one dance's ladder; whoever is on it knows the rungs below."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="levels")
    rank = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=60)
    most_new = models.PositiveSmallIntegerField(
        "most new figures an evening", default=2, validators=[MinValueValidator(1)]
    )

    class Meta:
        ordering = ["dance", "rank"]
        constraints = [
            models.UniqueConstraint(fields=["dance", "rank"], name="level_rank_once_a_dance"),
            models.UniqueConstraint(fields=["dance", "name"], name="level_name_once_a_dance"),
            models.CheckConstraint(condition=Q(rank__gte=1), name="level_rank_from_one"),
            models.CheckConstraint(condition=Q(most_new__gte=1), name="level_allows_a_new_figure"),
        ]

    def __str__(self) -> str:
        return self.name


class Hold(models.Model):
    """How the couple is joined. `facing`: (follower - leader) mod 8 in eighths of a turn; empty = free."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="holds")
    key = models.CharField(max_length=12)
    name = models.CharField(max_length=60)
    facing = models.PositiveSmallIntegerField(null=True, blank=True)
    same_foot = models.BooleanField("both may be on the same foot", default=False)
    turns_into = models.ManyToManyField(
        "self", through="HoldChange", symmetrical=False, related_name="turned_into_from"
    )

    class Meta:
        ordering = ["dance", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["dance", "key"], name="hold_key_once_a_dance"),
            models.UniqueConstraint(fields=["dance", "name"], name="hold_name_once_a_dance"),
            models.CheckConstraint(
                condition=Q(facing__isnull=True) | Q(facing__lte=7), name="hold_facing_in_eighths"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class HoldChange(models.Model):
    """A free change: a hold that turns into another on the spot, by letting go or taking a free hand."""

    hold = models.ForeignKey(Hold, on_delete=models.CASCADE, related_name="changes")
    into = models.ForeignKey(Hold, on_delete=models.CASCADE, related_name="changes_from")

    class Meta:
        ordering = ["hold", "into"]
        constraints = [
            models.UniqueConstraint(fields=["hold", "into"], name="hold_change_once"),
            models.CheckConstraint(condition=~Q(hold=F("into")), name="hold_changes_into_another"),
        ]

    def __str__(self) -> str:
        return f"{self.hold_id} into {self.into_id}"
