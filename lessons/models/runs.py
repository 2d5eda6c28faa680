"""Long work: a planning run's own row is the truth about it; the task queue only carries the message."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from lessons.models.plans import PlanStatus, TermPlan
from school.models import Person, Term


class RunStatus(models.TextChoices):
    WAITING = "waiting", "waiting for a worker"
    RUNNING = "running", "running"
    DONE = "done", "done"
    STOPPED = "stopped", "stopped"
    FAILED = "failed", "failed"


class RunKind(models.TextChoices):
    DRAFT = "draft", "a draft is planned"
    AGAIN = "again", "the rest of the term is planned again"


class SchoolRun(models.Model):
    """Courses planned together at one word of the director: a run a course, tied courses in one task."""

    term = models.ForeignKey(Term, on_delete=models.CASCADE, related_name="school_runs")
    asked_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"school run {self.pk}"


class PlanRunQuerySet(models.QuerySet["PlanRun"]):
    def open_proposals(self) -> PlanRunQuerySet:
        """The rest of a term planned again, of plans still published, that waits for the director's word."""
        ended = self.filter(kind=RunKind.AGAIN, answered="", status__in=[RunStatus.DONE, RunStatus.STOPPED])
        return ended.filter(plan__status=PlanStatus.PUBLISHED, result__isnull=False).order_by("-pk")


class PlanRun(models.Model):
    """One run of the planner. Results are written only where `attempt` is still one's own.

    `led_by`: tied courses are one task, that of the run which leads them; the others follow its row in
    whatever becomes of it. `occasion`: why the rest of a term was planned again, as a sentence. `answered`:
    "accepted" or "left" once the director said so, "holds" where there was nothing to ask, "overtaken" where
    a later run asks anew.
    """

    plan = models.ForeignKey(TermPlan, on_delete=models.CASCADE, related_name="runs")
    plan_version = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=RunKind, default=RunKind.DRAFT)
    occasion = models.CharField(max_length=300, blank=True)
    school_run = models.ForeignKey(
        SchoolRun, on_delete=models.SET_NULL, null=True, blank=True, related_name="runs"
    )
    led_by = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="followers"
    )
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
    answered = models.CharField(max_length=9, blank=True)

    objects = PlanRunQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan"],
                condition=Q(status__in=["waiting", "running"]),
                name="one_run_of_a_plan_at_a_time",
            ),
            models.CheckConstraint(condition=Q(status__in=RunStatus.values), name="run_status_known"),
            models.CheckConstraint(condition=Q(kind__in=RunKind.values), name="run_kind_known"),
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
