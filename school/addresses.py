"""From which address a visitor comes: what the throttle of sign-ins counts by."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str | None:
    """The visitor's own address, also behind the proxies that FREEFOOT_PROXIES says stand in front.

    Each proxy adds the address it was called from at the end of X-Forwarded-For, so the visitor's is as
    many places from the end as there are proxies; whatever stands before it, anybody could have written.
    """
    named = [part.strip() for part in request.headers.get("X-Forwarded-For", "").split(",") if part.strip()]
    if 0 < settings.PROXIES <= len(named):
        return named[-settings.PROXIES]
    # A server behind a local socket gives none.
    return request.META.get("REMOTE_ADDR")
