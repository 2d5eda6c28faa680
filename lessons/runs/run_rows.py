"""A planning run's own row, which is the truth about it: claim, beat, end, take up again.

Every write is one conditional UPDATE on (id, attempt, still running), so that a worker which was thought
dead and wakes up again can no longer write. Times are the real ones, not the day of a demo's story.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from lessons.models import PlanRun, RunStatus

GOING_ON = (RunStatus.WAITING, RunStatus.RUNNING)
SILENT_AFTER = dt.timedelta(seconds=15)
# A waiting run's message may have been lost with the worker that had taken it.
FORGOTTEN_AFTER = dt.timedelta(seconds=60)
MESSAGES_KEPT_FOR = dt.timedelta(days=7)
MOST_ATTEMPTS = 3
GIVEN_UP = (
    f"The planner was begun {MOST_ATTEMPTS} times and its worker went silent each time. "
    "Look at the worker's output, then plan the term again."
)


@dataclass(frozen=True)
class Claim:
    """One worker's hold on a run: good while the row still has this attempt and is running.

    Those who follow the run share its fate; their rows are written in the same transaction as its own.
    """

    run_id: int
    attempt: int

    def _own(self) -> QuerySet[PlanRun]:
        return PlanRun.objects.filter(pk=self.run_id, attempt=self.attempt, status=RunStatus.RUNNING)

    @transaction.atomic
    def beat(self, progress: Mapping[int, dict[str, Any]] | None = None) -> bool | None:
        """The worker lives, and is so far (run -> progress). Is a stop wished? None where the run is not
        ours."""
        if not self._own().update(heartbeat=timezone.now()):
            return None
        followers(self.run_id).update(heartbeat=timezone.now())
        for run, said in (progress or {}).items():
            PlanRun.objects.filter(pk=run).update(progress=said)
        return bool(PlanRun.objects.values_list("wish_to_stop", flat=True).get(pk=self.run_id))

    @transaction.atomic
    def finish(self, results: Mapping[int, dict[str, Any]]) -> bool:
        """Write each run's result: stopped where that was wished, else done; one by which the plan holds as
        it is asks for no answer. False where no longer one's own."""
        now = timezone.now()
        wished = self._own().filter(wish_to_stop=True).update(status=RunStatus.STOPPED)
        if not wished and not self._own().update(status=RunStatus.DONE):
            return False
        status = RunStatus.STOPPED if wished else RunStatus.DONE
        for run, result in results.items():
            PlanRun.objects.filter(pk=run).update(
                status=status,
                result=result,
                answered="holds" if result.get("holds") else "",
                ended_at=now,
                heartbeat=now,
            )
        return True

    @transaction.atomic
    def fail(self, sentence: str) -> bool:
        """End the run without a result. False where it is no longer one's own."""
        ended = {"status": RunStatus.FAILED, "failure": sentence, "ended_at": timezone.now()}
        if not self._own().update(**ended):
            return False
        followers(self.run_id).update(**ended)
        return True

    @transaction.atomic
    def hand_back(self) -> bool:
        """The worker is ending in good order: let another begin anew. That attempt does not count."""
        given = self._own().update(
            status=RunStatus.WAITING, attempt=F("attempt") - 1, worker="", heartbeat=timezone.now()
        )
        if given:
            followers(self.run_id).update(status=RunStatus.WAITING)
            send(self.run_id)
        return bool(given)


def followers(run_id: int) -> QuerySet[PlanRun]:
    """The runs which are led by this one and not over."""
    return PlanRun.objects.filter(led_by=run_id, status__in=GOING_ON)


@transaction.atomic
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
    if not taken:
        return None
    followers(run_id).update(
        status=RunStatus.RUNNING, worker=worker[:80], heartbeat=timezone.now(), progress={}
    )
    return Claim(run_id, attempt + 1)


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
    leading = PlanRun.objects.filter(silent | forgotten, led_by=None)
    rows = list(leading.values_list("pk", "attempt", "status", "heartbeat"))
    # In a long queue a run may wait for minutes with its message before it.
    sent = _in_the_queue() if rows else set()
    rows = [row for row in rows if row[2] == RunStatus.RUNNING or row[0] not in sent]
    return [pk for pk, attempt, status, heartbeat in rows if take_up(pk, attempt, status, heartbeat)]


def _in_the_queue() -> set[int]:
    """Runs whose message nobody has taken yet."""
    ready = DBTaskResult.objects.filter(status=TaskResultStatus.READY)
    return {said["args"][0] for said in ready.values_list("args_kwargs", flat=True) if said["args"]}


@transaction.atomic
def take_up(run_id: int, attempt: int, status: str, heartbeat: dt.datetime | None) -> bool:
    """Whether the run was sent again. One that was wished to stop, or was tried too often, ends instead."""
    now = timezone.now()
    unchanged = PlanRun.objects.filter(pk=run_id, attempt=attempt, status=status, heartbeat=heartbeat)
    if status == RunStatus.RUNNING:
        stopped = {"status": RunStatus.STOPPED, "ended_at": now}
        if unchanged.filter(wish_to_stop=True).update(**stopped):
            followers(run_id).update(**stopped)
            return False
        if attempt >= MOST_ATTEMPTS:
            failed = {"status": RunStatus.FAILED, "failure": GIVEN_UP, "ended_at": now}
            if unchanged.update(**failed):
                followers(run_id).update(**failed)
            return False
    taken = unchanged.update(status=RunStatus.WAITING, worker="", heartbeat=now)
    if taken:
        followers(run_id).update(status=RunStatus.WAITING)
        send(run_id)
    return bool(taken)


def prune_messages() -> int:
    """Delete the queue's rows of work that ended, or whose worker went silent, more than a week ago; return
    how many. A run's own row is kept. Looks before it takes the lock for writing."""
    long_ago = timezone.now() - MESSAGES_KEPT_FOR
    began = DBTaskResult.objects.exclude(status=TaskResultStatus.READY).filter(enqueued_at__lt=long_ago)
    old = began.filter(Q(finished_at__lt=long_ago) | Q(finished_at=None))
    return int(old.delete()[0]) if old.exists() else 0


def send(run_id: int) -> None:
    """Put a message for the run into the queue: a row of the same database, sent with the transaction."""
    # Here and not above: the task is made of this module.
    from lessons.tasks import plan_the_term

    plan_the_term.enqueue(run_id)
