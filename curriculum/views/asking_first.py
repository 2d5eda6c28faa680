"""Before something is deleted: a page of what follows, and one button that does it."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from curriculum.models import Dance


def asked_first(
    request: HttpRequest,
    question: str,
    follows: Iterable[str],
    *,
    button: str,
    back: str,
    dance: Dance | None = None,
) -> HttpResponse:
    """The page whose button sends the same address. back: the address that leaves it as it is."""
    context = {"question": question, "follows": list(follows), "button": button, "back": back, "dance": dance}
    return render(request, "curriculum/asked_first.html", context)
