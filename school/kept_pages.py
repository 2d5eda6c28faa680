"""Pages that are read again and again are kept until anything at all is written.

`@kept_page` stands on a view that only reads. It answers a signed-in person's GET with what the same person
was last given at the same address, if nothing was written since (`school.changes`), the day is still the
same, and no message waits to be shown. The door is passed before: roles are read anew each time. The form's
token in a page is put in anew for each answer.

A view may not be kept that reads the session, that depends on chance, or on rows that are not watched. One
that says something which time ends (a link that is open until six) tells with `keep_until`; what else it
depends on is read by `also`.
"""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
import secrets
from collections.abc import Callable, Hashable
from dataclasses import dataclass

from django.conf import settings
from django.contrib.messages import get_messages
from django.core.cache import caches
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils import timezone

from school import clock
from school.changes import mark

View = Callable[..., HttpResponse]
# In the place of the token in whatever is kept. Nobody can write this into a page: it is never sent.
TOKEN_STANDS_HERE = secrets.token_urlsafe(32)


@dataclass(frozen=True)
class KeptPage:
    """A finished page. stands_for: what it was made of, as `_stands_for` says it; until: when it is over."""

    stands_for: Hashable
    until: dt.datetime | None
    headers: dict[str, str]
    content: bytes

    def is_still(self, stands_for: Hashable) -> bool:
        return self.stands_for == stands_for and (self.until is None or clock.now() < self.until)


def kept_page(view: View | None = None, *, also: Callable[[HttpRequest], Hashable] | None = None) -> View:
    """Keep what the view answers. `also`: what the page depends on besides rows, the day and its reader."""
    if view is None:
        return functools.partial(kept_page, also=also)

    @functools.wraps(view)
    def reads(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not _may_be_kept(request):
            return view(request, *args, **kwargs)
        pages, place = caches["pages"], _place(request)
        now = _stands_for(request, also)
        kept = pages.get(place)
        if kept is not None and kept.is_still(now):
            return _with_token(request, HttpResponse(kept.content, headers=kept.headers))
        request.token_stands_here = TOKEN_STANDS_HERE  # type: ignore[attr-defined]
        try:
            answer = view(request, *args, **kwargs)
        finally:
            # The page that says why there is none is not this one.
            del request.token_stands_here  # type: ignore[attr-defined]
        # Made while somebody wrote, it may hold some of the old and some of the new.
        if _is_whole(request, answer) and now == _stands_for(request, also):
            until = getattr(request, "keep_until", None)
            pages.set(place, KeptPage(now, until, dict(answer.headers), answer.content))
        return _with_token(request, answer)

    return reads


def keep_until(request: HttpRequest, moment: dt.datetime) -> None:
    """What the page says ends then, by `school.clock.now()`. The earliest of several counts."""
    earlier = getattr(request, "keep_until", None)
    request.keep_until = min(earlier, moment) if earlier else moment  # type: ignore[attr-defined]


def _may_be_kept(request: HttpRequest) -> bool:
    """Whether somebody signed in asks for a whole page, to whom no message is to be shown."""
    if not settings.KEPT_PAGES or request.method != "GET" or request.htmx:  # type: ignore[attr-defined]
        return False
    return request.user.is_authenticated and not _says_once(request)


def _says_once(request: HttpRequest) -> bool:
    """Asked of the number, for whoever goes through the messages has shown them."""
    return len(get_messages(request)) > 0


def _place(request: HttpRequest) -> str:
    """One page a person and address: a newer one takes its place."""
    return hashlib.sha256(f"{request.user.pk} {request.build_absolute_uri()}".encode()).hexdigest()


def _stands_for(request: HttpRequest, also: Callable[[HttpRequest], Hashable] | None) -> Hashable:
    """Equal as long as the page would be made the same again. One query, and those of `also`."""
    # The day of the story, and the real one, from which a device's clock is shifted.
    return mark(), clock.today(), timezone.localdate(), also(request) if also else None


def _is_whole(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether it is a finished page that says nothing only once."""
    is_page = answer.status_code == 200 and answer.headers.get("Content-Type", "").startswith("text/html")
    return is_page and not answer.streaming and not answer.cookies and not _says_once(request)


def _with_token(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """The page with the reader's own token, another one each time, wherever one stands."""
    place = TOKEN_STANDS_HERE.encode()
    if not answer.streaming and place in answer.content:
        answer.content = answer.content.replace(place, get_token(request).encode())
    return answer
