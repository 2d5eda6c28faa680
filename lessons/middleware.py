"""Tells a device for whom a page was made, and whether it may keep it."""

from collections.abc import Callable

from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse

from lessons.device import KEPT_PAGES


class DeviceMiddleware:
    """Two headers for the service worker: what it has kept of somebody else, it forgets. No query of its
    own: whoever could be signed in was asked for by the page already."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        match = request.resolver_match
        if match is None:
            return response
        if match.view_name != "lessons:health" and request.user.is_authenticated:
            response["X-Freefoot-Person"] = str(request.user.pk)
            is_read = response.status_code == 200 and request.method == "GET"
            # What is said once would be said again by the kept page; shown ones still count.
            if match.view_name in KEPT_PAGES and is_read and not len(get_messages(request)):
                response["X-Freefoot-Keep"] = "1"
        return response
