"""Pages for when something is not there, not allowed, or broken."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    said = str(exception) if exception and str(exception) else "You may read this, but not change it."
    return render(request, "school/refused.html", {"title": "Not yours to change", "said": said}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    said = "There is nothing at this address, or it is not yours to see."
    return render(request, "school/refused.html", {"title": "Nothing here", "said": said}, status=404)


def only_sent(request: HttpRequest) -> HttpResponse:
    """Somebody opened an address that only takes what a page sends: it stood in the browser's line after a
    form was refused, or in its history."""
    said = "Nothing was changed. This address takes what a page sends, and there is nothing to read at it."
    return render(request, "school/refused.html", {"title": "Nothing to read here", "said": said}, status=405)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form from before somebody signed in anew, or one that another site sent."""
    said = (
        "Nothing was changed. This page was opened before you last signed in here, so nobody can tell "
        "whether you sent it. Go back, copy what you typed, load the page again and send it from there."
    )
    context = {"title": "Not sent", "said": said}
    return render(request, "school/refused.html", context, status=403)


def broken(request: HttpRequest) -> HttpResponse:
    # Rendered without the request: its context might be what broke.
    return render(None, "school/broken.html", status=500)
