"""Long work: a planning run's own row is the truth about it; the task queue only carries the message."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from lessons.models.plans import TermPlan
from school.models import Person


class RunStatus(models.TextChoices):
    WAITING = "waiting", "waiting for a worker"
    RUNNING = "running", "running"
    DONE = "done", "done"
    STOPPED = "stopped", "stopped"
    FAILED = "failed", "failed"


class PlanRun(models.Model):
    """One run of the planner on a draft. Results are written only where `attempt` is still one's own."""

    plan = models.ForeignKey(TermPlan, on_delete=models.CASCADE, related_name="runs")
    plan_version = models.PositiveIntegerField()
    status = models.CharField(max_length=8, choices=RunStatus, default=RunStatus.WAITING)
    attempt = models.PositiveSmallIntegerField(default=0)
    worker = models.CharField(max_length=80, blank=True)
    heartbeat = models.DateTimeField(null=True, blank=True)
    wish_to_stop = models.BooleanField(default=False)
    seconds = models.PositiveSmallIntegerField(default=10)
    progress = models.JSONField(default=dict, blank=True)
    result = models.JSONField(null=True, blank=True)
    failure = models.TextField(blank=True)
    asked_by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="plan_runs"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    answered = models.CharField(
        max_length=8, blank=True, help_text="accepted or left, once the director said"
    )

    class Meta:
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan"],
                condition=Q(status__in=["waiting", "running"]),
                name="one_run_of_a_plan_at_a_time",
            ),
            models.CheckConstraint(condition=Q(status__in=RunStatus.values), name="run_status_known"),
        ]

    def __str__(self) -> str:
        return f"run {self.pk} of plan {self.plan_id}"

    @property
    def is_over(self) -> bool:
        return self.status in {RunStatus.DONE, RunStatus.STOPPED, RunStatus.FAILED}

    @property
    def has_plan(self) -> bool:
        """Whether it found a plan that can be taken over."""
        return bool(self.result) and self.result["status"] in {"optimal", "feasible"}


class WorkerSign(models.Model):
    """A worker's last sign of life."""

    worker = models.CharField(max_length=80, unique=True)
    seen_at = models.DateTimeField()

    class Meta:
        ordering = ["-seen_at"]

    def __str__(self) -> str:
        return self.worker
