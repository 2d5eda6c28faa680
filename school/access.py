"""The one door: who may read and who may write behind every address.

`ACCESS` is the whole table. An address is opened with `page(...)` in a urls.py; one that stands in no
row fails when the URLs are imported. Anonymous people are sent to sign in; a signed-in person without
a role that may read gets 404, as if nothing were there; one who may read but not write gets 403.

Rows say what a role may do at all. Which objects of a kind a person may reach is said by the getters in
each app's own access.py (`get_course_for(user, pk)`), which raise Http404 or PermissionDenied.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import Http404, HttpRequest, HttpResponseBase
from django.urls import URLPattern, path
from django.utils.http import url_has_allowed_host_and_scheme

from school.access_table import ACCESS, ANY_PERSON, ANYBODY, READ, Rule

View = Callable[..., HttpResponseBase]
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


@dataclass(frozen=True)
class Door:
    """What a view was opened with, kept on the view for the test that walks every address."""

    name: str
    rule: Rule


def check_door(request: HttpRequest, rule: Rule) -> HttpResponseBase | None:
    """None where the request may pass; a redirect to sign-in; raises Http404 or PermissionDenied."""
    if rule.readers is ANYBODY:
        return None
    if not request.user.is_authenticated:
        return _to_sign_in(request)
    roles = request.user.roles | ANY_PERSON
    if not roles & (rule.readers | rule.writers):
        raise Http404("no such page")
    writes = rule.is_form or request.method not in SAFE_METHODS
    if writes and not roles & rule.writers:
        read = "You may read this, but not change it."
        raise PermissionDenied("This is not yours to do. Ask a director." if rule.is_form else read)
    return None


def _to_sign_in(request: HttpRequest) -> HttpResponseBase:
    """The way there, which the sign-in page explains: `unsent` where a form has just been lost. From there it
    goes on to the page that was to be read, or on which the form stood."""
    if request.method in SAFE_METHODS:
        return redirect_to_login(request.get_full_path())
    address = redirect_to_login(_sent_from(request) or request.get_full_path())
    address["Location"] += "&unsent=1"
    return address


def _sent_from(request: HttpRequest) -> str | None:
    """The page of this site that a form was sent from, where the browser says so."""
    said = request.headers.get("HX-Current-URL") or request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(said, {request.get_host()}, require_https=request.is_secure()):
        return None
    parts = urlsplit(said)
    return f"{parts.path}?{parts.query}" if parts.query else parts.path


def page(route: str, view: View, *, app: str, name: str) -> URLPattern:
    """Open `route` for whom ACCESS lets in. Raises ImproperlyConfigured for a name without a row."""
    try:
        rule = ACCESS[f"{app}:{name}"]
    except KeyError:
        raise ImproperlyConfigured(f"{app}:{name} stands in no row of school/access_table.py") from None

    @functools.wraps(view)
    def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
        return check_door(request, rule) or view(request, *args, **kwargs)

    guarded.door = Door(f"{app}:{name}", rule)  # type: ignore[attr-defined]
    return path(route, guarded, name=name)


__all__ = ["ACCESS", "READ", "Door", "Rule", "check_door", "page"]
