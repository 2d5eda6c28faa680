"""Every request runs in the school's own time zone."""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from school.models import School


class SchoolTimeMiddleware:
    """Reads the school once a request (one query) and activates its zone; `request.school` may be None."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path == "/health/":
            return self.get_response(request)
        request.school = School.current()  # type: ignore[attr-defined]
        zone = request.school.time_zone if request.school else "UTC"  # type: ignore[attr-defined]
        with timezone.override(zoneinfo.ZoneInfo(zone)):
            return self.get_response(request)
