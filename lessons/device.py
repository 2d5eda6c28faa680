"""What a device keeps for where there is no network, a hall or a kitchen: which pages, which files."""

from __future__ import annotations

import functools
import hashlib
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.http import HttpRequest
from django.templatetags.static import static
from django.urls import reverse

# Pages that are kept once they were opened; every other page needs the network.
KEPT_PAGES = frozenset(
    {
        "lessons:at-home",
        "lessons:home",
        "lessons:lesson",
        "lessons:live",
        "lessons:my-level",
        "lessons:my-level-course",
        "lessons:partners",
        "lessons:record",
        "curriculum:figure",
        "curriculum:routine",
    }
)
OWN_FILES = ("school/", "curriculum/", "lessons/", "django_htmx/htmx.min.js")
_DEVICE = "X-Freefoot-Device"


def is_sent_by_device(request: HttpRequest) -> bool:
    """Whether the device sends by itself what it has kept, and nobody waits for a page."""
    return _DEVICE in request.headers


@functools.cache
def kept_files() -> tuple[str, ...]:
    """Addresses of our own styles, scripts and pictures, as the pages name them."""
    names = {
        name.replace("\\", "/")
        for finder in get_finders()
        for name, _ in finder.list([])
        if name.replace("\\", "/").startswith(OWN_FILES)
    }
    return tuple(sorted(map(static, names)))


def worker_settings() -> dict[str, Any]:
    """What the service worker is told. `version` changes whenever one of the files does."""
    files = kept_files()
    return {
        "version": hashlib.sha256("\n".join(files).encode()).hexdigest()[:16],
        "files": files,
        "static": settings.STATIC_URL,
        "style": static("school/base.css"),
        "home": reverse("lessons:home"),
    }
