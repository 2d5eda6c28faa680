"""Every request runs in the school's own time zone; whoever has a one-time password chooses another first;
and whoever opens an address at which there is nothing to read is told so.
"""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from school.models import School
from school.views.errors import only_sent


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


class OneTimePasswordMiddleware:
    """Sends whoever signed in with a one-time password to the page where they choose their own.

    Costs no query of its own: every page but these asks for the person anyway.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        choose = reverse("school:password")
        left_alone = {choose, reverse("school:sign-out"), reverse("school:sign-in"), "/health/"}
        if request.path in left_alone or not getattr(request.user, "password_is_one_time", False):
            return self.get_response(request)
        return HttpResponseClientRedirect(choose) if request.htmx else HttpResponseRedirect(choose)


class NothingToReadMiddleware:
    """Gives a page to whoever opens an address that only takes forms; the answer would be an empty one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if answer.status_code != 405 or request.method not in {"GET", "HEAD"}:
            return answer
        said = only_sent(request)
        said["Allow"] = answer["Allow"]
        return said
