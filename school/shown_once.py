"""What a page shows once: it waits in the session between the form that made it and the page it leads to.

The form answers with a redirect, so that loading the page again makes nothing anew and ends nothing; it then
says that it was shown.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

_WAITING = "shown_once"


def keep_to_show(request: HttpRequest, what: str, of: int, **told: Any) -> None:
    """`what` of the row `of`, until its page is next loaded. What waited of that kind goes."""
    waiting = request.session.get(_WAITING, {})
    request.session[_WAITING] = waiting | {what: {"of": of, "told": told}}


def show_once(request: HttpRequest, what: str, of: int) -> dict[str, Any]:
    """What was kept, this once; empty where there is nothing, or it is of another row. Asking for the head of
    a page shows nobody anything, and takes nothing away."""
    waiting = dict(request.session.get(_WAITING, {}))
    if waiting.get(what, {}).get("of") != of:
        return {}
    if request.method == "GET":
        told: dict[str, Any] = waiting.pop(what)["told"]
        request.session[_WAITING] = waiting
        return told
    return {}
