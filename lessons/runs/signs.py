"""Signs of life: whether a worker is there to do what the pages ask for."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from lessons.models import WorkerSign

SIGN_LASTS = dt.timedelta(seconds=15)
KEPT_FOR = dt.timedelta(days=1)


def last_worker_sign() -> dt.datetime | None:
    """When a worker last gave a sign of life; None if none ever did. One query."""
    return WorkerSign.objects.order_by("-seen_at").values_list("seen_at", flat=True).first()


def worker_is_alive() -> bool:
    """Whether a worker gave a sign in the last 15 seconds. One query."""
    seen = last_worker_sign()
    return seen is not None and timezone.now() - seen <= SIGN_LASTS


def give_sign(worker: str) -> None:
    """This worker lives; what workers of other days left behind is swept away."""
    now = timezone.now()
    WorkerSign.objects.update_or_create(worker=worker, defaults={"seen_at": now})
    WorkerSign.objects.filter(seen_at__lt=now - KEPT_FOR).delete()


def take_sign_away(worker: str) -> None:
    """This worker has ended in good order: pages say so at once."""
    WorkerSign.objects.filter(worker=worker).delete()
