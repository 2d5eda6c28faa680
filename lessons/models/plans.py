"""Term plans: which lesson introduces and reviews which figure. A draft, the published one, retired ones."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from curriculum.models import Figure
from lessons.models.courses import Course
from lessons.models.sessions import LessonSession
from school.models import Person


class PlanStatus(models.TextChoices):
    DRAFT = "draft", "draft"
    PUBLISHED = "published", "published"
    RETIRED = "retired", "retired"


class TermPlan(models.Model):
    """`version` rises with every change, so that a second writer is told and nothing is overwritten."""

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="plans")
    name = models.CharField(max_length=80, default="Draft")
    status = models.CharField(max_length=10, choices=PlanStatus, default=PlanStatus.DRAFT)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="plans_made"
    )
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="plans_published"
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["course", "-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["course"],
                condition=Q(status=PlanStatus.PUBLISHED),
                name="course_has_one_published_plan",
            ),
            models.CheckConstraint(condition=Q(status__in=PlanStatus.values), name="plan_status_known"),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def title(self) -> str:
        """What the plan is called: a draft by its name, what was published by when that was."""
        if self.status == PlanStatus.DRAFT or self.published_at is None:
            return self.name
        day = timezone.localtime(self.published_at)
        name = "Plan" if self.name.startswith("Draft") else self.name
        return f"{name} published {day.day} {day:%b}"


class PlanFigure(models.Model):
    """What a plan asks of a figure. Apart from where it stands, so that a pin outlives an unplaced figure."""

    plan = models.ForeignKey(TermPlan, on_delete=models.CASCADE, related_name="figures")
    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="plan_figures")
    required = models.BooleanField(default=True)
    importance = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    earliest = models.ForeignKey(
        LessonSession, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    latest = models.ForeignKey(
        LessonSession, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    pinned = models.ForeignKey(
        LessonSession, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    parts = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["plan", "figure__level__rank", "figure__order", "figure"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "figure"], name="figure_once_in_a_plan"),
            models.CheckConstraint(condition=Q(parts__gte=1), name="plan_figure_has_a_part"),
            models.CheckConstraint(condition=Q(importance__gte=1), name="plan_figure_matters"),
        ]

    def __str__(self) -> str:
        return f"{self.figure_id} in plan {self.plan_id}"


class PlanIntroduction(models.Model):
    """A part of a figure (from 0) is new in this lesson."""

    plan_figure = models.ForeignKey(PlanFigure, on_delete=models.CASCADE, related_name="introductions")
    part = models.PositiveSmallIntegerField(default=0)
    lesson = models.ForeignKey(LessonSession, on_delete=models.PROTECT, related_name="introductions")

    class Meta:
        ordering = ["plan_figure", "part"]
        constraints = [
            models.UniqueConstraint(fields=["plan_figure", "part"], name="plan_part_once"),
            models.UniqueConstraint(fields=["plan_figure", "lesson"], name="plan_lesson_takes_one_part"),
        ]

    def __str__(self) -> str:
        return f"new in {self.lesson_id}"


class PlanReview(models.Model):
    """A figure comes again in this lesson; `due` is the lesson it would best stand in."""

    plan_figure = models.ForeignKey(PlanFigure, on_delete=models.CASCADE, related_name="reviews")
    lesson = models.ForeignKey(LessonSession, on_delete=models.PROTECT, related_name="reviews")
    due = models.ForeignKey(LessonSession, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["plan_figure", "lesson"]
        constraints = [
            models.UniqueConstraint(fields=["plan_figure", "lesson"], name="plan_review_once_a_lesson"),
        ]

    def __str__(self) -> str:
        return f"again in {self.lesson_id}"


class PlanBar(models.Model):
    """Not in this lesson: the figure may not begin there."""

    plan_figure = models.ForeignKey(PlanFigure, on_delete=models.CASCADE, related_name="bars")
    lesson = models.ForeignKey(LessonSession, on_delete=models.CASCADE, related_name="+")

    class Meta:
        ordering = ["plan_figure", "lesson"]
        constraints = [models.UniqueConstraint(fields=["plan_figure", "lesson"], name="plan_bar_once")]

    def __str__(self) -> str:
        return f"not in {self.lesson_id}"


class PlanSet(models.Model):
    """Figures of a plan that belong together on one evening, or never two on one."""

    class Kind(models.TextChoices):
        TOGETHER = "together", "on one evening"
        APART = "apart", "never two on one evening"

    plan = models.ForeignKey(TermPlan, on_delete=models.CASCADE, related_name="sets")
    kind = models.CharField(max_length=8, choices=Kind)
    figures = models.ManyToManyField(PlanFigure, related_name="sets")

    class Meta:
        ordering = ["plan", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["together", "apart"]), name="plan_set_kind_known"),
        ]

    def __str__(self) -> str:
        return self.kind
