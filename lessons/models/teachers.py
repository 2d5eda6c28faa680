"""Who cannot teach what, or when: away for some days, or not teaching a dance, a level or a figure."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from curriculum.models import Dance, Figure, Level
from school.models import Person


class Away(models.Model):
    """An instructor is not at the school on these days, the first and the last among them."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="away")
    first_day = models.DateField("first day away")
    last_day = models.DateField("last day away")

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="away_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} away from {self.first_day}"


class TeachesNot(models.Model):
    """Something of a dance that an instructor does not teach: all of it, a level of it, or one figure."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="teaches_not")
    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="+")
    level = models.ForeignKey(Level, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["person__name", "dance__name", "level__rank", "figure__order", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "dance"],
                condition=Q(level__isnull=True, figure__isnull=True),
                name="teaches_not_a_dance_once",
            ),
            models.UniqueConstraint(fields=["person", "level"], name="teaches_not_a_level_once"),
            models.UniqueConstraint(fields=["person", "figure"], name="teaches_not_a_figure_once"),
            models.CheckConstraint(
                condition=Q(level__isnull=True) | Q(figure__isnull=True), name="teaches_not_one_thing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} does not teach {self.figure_id or self.level_id or self.dance_id}"

    def covers(self, figure: Figure) -> bool:
        """Whether it speaks of this figure; costs nothing."""
        if self.figure_id is not None:
            return bool(self.figure_id == figure.pk)
        if self.level_id is not None:
            return bool(self.level_id == figure.level_id)
        return bool(self.dance_id == figure.dance_id)
