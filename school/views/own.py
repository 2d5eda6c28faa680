"""What somebody chooses for themselves."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from school.models.people import ChartsAs


@require_POST
def charts_as(request: HttpRequest) -> HttpResponse:
    """Whose part every chart shows from now on; back to where it was chosen."""
    chosen = request.POST.get("charts_as")
    if chosen not in ChartsAs.values:
        return HttpResponseBadRequest("Choose leader, follower or both.")
    request.user.charts_as = chosen
    request.user.save(update_fields=["charts_as"])
    return redirect(way_back(request))


def way_back(request: HttpRequest) -> str:
    """The page of this site that a form names in `next`; else today's."""
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
    return wanted if is_ours and wanted.startswith("/") else reverse("lessons:home")
