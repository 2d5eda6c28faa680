"""For monitors and load balancers."""

from __future__ import annotations

from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from lessons.health import look


@never_cache
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """200 where pages can be served, 503 where not; `worker` says whether long work is done."""
    seen = look()
    answer = {
        "database": seen.database,
        "migrations": seen.migrations,
        "worker": seen.worker,
        "worker_seen_at": seen.worker_seen_at.isoformat() if seen.worker_seen_at else None,
    }
    return JsonResponse(answer, status=200 if seen.is_well else 503)
