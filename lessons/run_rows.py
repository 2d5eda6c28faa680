"""A planning run's own row, which is the truth about it: claim, beat, end, take up again.

Every write is one conditional UPDATE on (id, attempt, still running), so that a worker which was thought
dead and wakes up again can no longer write. Times are the real ones, not the day of a demo's story.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from lessons.models import PlanRun, RunStatus

SILENT_AFTER = dt.timedelta(seconds=15)
# A waiting run's message may have been lost with the worker that had taken it.
FORGOTTEN_AFTER = dt.timedelta(seconds=60)
MOST_ATTEMPTS = 3
GIVEN_UP = (
    f"The planner was begun {MOST_ATTEMPTS} times and its worker went silent each time. "
    "Look at the worker's output, then plan the term again."
)


@dataclass(frozen=True)
class Claim:
    """One worker's hold on a run: good while the row still has this attempt and is running."""

    run_id: int
    attempt: int

    def _own(self) -> Any:
        return PlanRun.objects.filter(pk=self.run_id, attempt=self.attempt, status=RunStatus.RUNNING)

    def beat(self, progress: dict[str, Any] | None = None) -> bool | None:
        """The worker lives, and is so far. Is a stop wished? None where the run is not ours."""
        changes: dict[str, Any] = {"heartbeat": timezone.now()}
        if progress is not None:
            changes["progress"] = progress
        if not self._own().update(**changes):
            return None
        return bool(PlanRun.objects.values_list("wish_to_stop", flat=True).get(pk=self.run_id))

    def finish(self, result: dict[str, Any]) -> bool:
        """Write the result: stopped where that was wished, else done. False where no longer one's own."""
        now = timezone.now()
        stopped = self._own().filter(wish_to_stop=True)
        if stopped.update(status=RunStatus.STOPPED, result=result, ended_at=now, heartbeat=now):
            return True
        return bool(self._own().update(status=RunStatus.DONE, result=result, ended_at=now, heartbeat=now))

    def fail(self, sentence: str) -> bool:
        """End the run without a result. False where it is no longer one's own."""
        now = timezone.now()
        return bool(self._own().update(status=RunStatus.FAILED, failure=sentence, ended_at=now))

    def hand_back(self) -> bool:
        """The worker is ending in good order: let another begin anew. That attempt does not count."""
        with transaction.atomic():
            given = self._own().update(
                status=RunStatus.WAITING, attempt=F("attempt") - 1, worker="", heartbeat=timezone.now()
            )
            if given:
                send(self.run_id)
        return bool(given)


def claim(run_id: int, *, worker: str) -> Claim | None:
    """Take a waiting run; None where it is not waiting any more or another worker was quicker."""
    attempt = PlanRun.objects.filter(pk=run_id).values_list("attempt", flat=True).first()
    if attempt is None:
        return None
    waiting = PlanRun.objects.filter(pk=run_id, attempt=attempt, status=RunStatus.WAITING)
    taken = waiting.update(
        status=RunStatus.RUNNING,
        attempt=attempt + 1,
        worker=worker[:80],
        heartbeat=timezone.now(),
        progress={},
    )
    return Claim(run_id, attempt + 1) if taken else None


def sweep() -> list[int]:
    """Take up runs whose worker went silent, and waiting ones that were forgotten; return those sent again.

    Any number of sweepers may run: each run is taken up by the one whose UPDATE finds it unchanged.
    """
    now = timezone.now()
    silent = Q(status=RunStatus.RUNNING, heartbeat__lt=now - SILENT_AFTER)
    forgotten = Q(status=RunStatus.WAITING) & (
        Q(heartbeat__lt=now - FORGOTTEN_AFTER)
        | Q(heartbeat__isnull=True, created_at__lt=now - FORGOTTEN_AFTER)
    )
    rows = PlanRun.objects.filter(silent | forgotten).values_list("pk", "attempt", "status", "heartbeat")
    return [pk for pk, attempt, status, heartbeat in rows if take_up(pk, attempt, status, heartbeat)]


@transaction.atomic
def take_up(run_id: int, attempt: int, status: str, heartbeat: dt.datetime | None) -> bool:
    """Whether the run was sent again. One that was wished to stop, or was tried too often, ends instead."""
    now = timezone.now()
    unchanged = PlanRun.objects.filter(pk=run_id, attempt=attempt, status=status, heartbeat=heartbeat)
    if status == RunStatus.RUNNING:
        if unchanged.filter(wish_to_stop=True).update(status=RunStatus.STOPPED, ended_at=now):
            return False
        if attempt >= MOST_ATTEMPTS:
            unchanged.update(status=RunStatus.FAILED, failure=GIVEN_UP, ended_at=now)
            return False
    taken = unchanged.update(status=RunStatus.WAITING, worker="", heartbeat=now)
    if taken:
        send(run_id)
    return bool(taken)


def send(run_id: int) -> None:
    """Put a message for the run into the queue: a row of the same database, sent with the transaction."""
    # Here and not above: the task is made of this module.
    from lessons.tasks import plan_the_term

    plan_the_term.enqueue(run_id)
