"""Figures and techniques: what a level teaches, under all its names, with what it needs first."""

from __future__ import annotations

from fractions import Fraction

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from curriculum.models.dances import TICKS_PER_BEAT, Dance, Level
from curriculum.rules.naming import name_key


class FigureKind(models.TextChoices):
    FIGURE = "figure", "figure"
    TECHNIQUE = "technique", "technique"


class FigureQuerySet(models.QuerySet["Figure"]):
    def in_teaching_order(self) -> FigureQuerySet:
        return self.order_by("level__rank", "order", "pk")

    def for_page(self) -> FigureQuerySet:
        """With level, names, and what they need: four queries for any number of figures."""
        return self.select_related("dance", "level").prefetch_related("names", "prerequisites__needs__names")


class Figure(models.Model):
    """A named piece of movement on a level, or a technique (kind) taught like one but without a chart."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="figures")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="figures")
    kind = models.CharField(max_length=10, choices=FigureKind, default=FigureKind.FIGURE)
    name = models.CharField(
        max_length=80, help_text="the main name; FigureName holds it too, with the others"
    )
    order = models.PositiveIntegerField(default=0, help_text="place in the syllabus, with gaps")
    ticks = models.PositiveIntegerField(
        "length", null=True, blank=True, help_text="12 to the beat; empty for a technique"
    )
    minutes_to_introduce = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    minutes_to_review = models.PositiveSmallIntegerField(default=0)
    in_a_row = models.PositiveSmallIntegerField(
        "bears in a row", default=1, validators=[MinValueValidator(1)]
    )
    lead = models.TextField("what leads it", blank=True)
    response = models.TextField("what answers", blank=True)
    notes = models.TextField(blank=True)
    extension = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="grows_out_of"
    )
    easier_form = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="harder_forms"
    )
    open_form = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="closed_forms"
    )
    version = models.PositiveIntegerField(default=1)

    objects = FigureQuerySet.as_manager()

    class Meta:
        ordering = ["dance", "level__rank", "order", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(minutes_to_introduce__gte=1), name="figure_takes_a_minute"),
            models.CheckConstraint(
                condition=Q(ticks__isnull=True) | Q(ticks__gte=1), name="figure_has_length"
            ),
            models.CheckConstraint(condition=Q(in_a_row__gte=1), name="figure_bears_one_in_a_row"),
            models.CheckConstraint(condition=Q(kind__in=FigureKind.values), name="figure_kind_known"),
            models.CheckConstraint(
                condition=~Q(extension=F("pk")) | Q(extension__isnull=True),
                name="figure_not_its_own_extension",
            ),
            models.CheckConstraint(
                condition=~Q(easier_form=F("pk")) | Q(easier_form__isnull=True),
                name="figure_not_its_own_easier_form",
            ),
            models.CheckConstraint(
                condition=~Q(open_form=F("pk")) | Q(open_form__isnull=True),
                name="figure_not_its_own_open_form",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def beats(self) -> Fraction | None:
        """Length in beats, exact."""
        return None if self.ticks is None else Fraction(self.ticks, TICKS_PER_BEAT)

    @property
    def is_technique(self) -> bool:
        return self.kind == FigureKind.TECHNIQUE

    @property
    def other_names(self) -> list[str]:
        """Names beside the main one. Costs a query unless `names` was prefetched."""
        return [row.name for row in self.names.all() if not row.is_main]


class FigureName(models.Model):
    """Every name of every figure, in one table, so that no two figures of a dance share one."""

    dance = models.ForeignKey(Dance, on_delete=models.CASCADE, related_name="figure_names")
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="names")
    name = models.CharField(max_length=80)
    key = models.CharField(max_length=160, editable=False)
    is_main = models.BooleanField(default=False)

    class Meta:
        ordering = ["figure", "-is_main", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["dance", "key"],
                name="figure_name_once_a_dance",
                violation_error_message="This dance already has a figure of that name.",
            ),
            models.UniqueConstraint(
                fields=["figure"], condition=Q(is_main=True), name="figure_has_one_main_name"
            ),
            models.CheckConstraint(condition=~Q(key=""), name="figure_name_says_something"),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        self.key = name_key(self.name)
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class Prerequisite(models.Model):
    """`figure` needs `needs` in an earlier lesson, or, with `same_evening`, at the latest in the same one.

    A circle is refused by `curriculum.actions`, which locks the dance before it looks: two writers
    at once could each close half of one.
    """

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="prerequisites")
    needs = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="opens")
    same_evening = models.BooleanField("may share an evening", default=False)

    class Meta:
        ordering = ["figure", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["figure", "needs"], name="prerequisite_once"),
            models.CheckConstraint(
                condition=~Q(figure=F("needs")),
                name="figure_does_not_need_itself",
                violation_error_message="A figure cannot need itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id} needs {self.needs_id}"


class Fault(models.Model):
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="faults")
    position = models.PositiveSmallIntegerField(default=0)
    fault = models.CharField(max_length=200)
    remedy = models.CharField(max_length=200)

    class Meta:
        ordering = ["figure", "position", "pk"]

    def __str__(self) -> str:
        return self.fault


class Caution(models.Model):
    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="cautions")
    position = models.PositiveSmallIntegerField(default=0)
    text = models.CharField(max_length=300)

    class Meta:
        ordering = ["figure", "position", "pk"]

    def __str__(self) -> str:
        return self.text
