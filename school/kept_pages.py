"""Pages that are read again and again are kept until something they show is written.

`@kept_page` stands on a view that only reads. It answers a signed-in person's GET with what the same person
was last given at the same address, if nothing was written since to any table of which the page was made
(`school.changes`), the school, the person, their roles and the day are still the same, and no message waits
to be shown. The door is passed before: roles are read anew each time. Which tables those are is not said but
seen, while the page is made. The form's token is put in anew for each answer.

A view may not be kept that depends on chance or reads the session, save for what it takes out of it to say
once: a page that changes the session is not kept. One that asks for the time of day is kept to the end of the
minute, unless it tells with `keep_until` when what it says is over. A page made of a table that is not
watched is not kept, unless `also` says what it takes from there.
"""

from __future__ import annotations

import datetime as dt
import functools
import hashlib
import secrets
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass

from django.conf import settings
from django.contrib.messages import get_messages
from django.core.cache import caches
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils import timezone

from school import clock
from school.changes import marks, tables_read

View = Callable[..., HttpResponse]
# Table that is not watched -> what the page says of it.
Also = Mapping[str, Callable[[HttpRequest], Hashable]]
# In the place of the token in whatever is kept. Nobody can write this into a page: it is never sent.
TOKEN_STANDS_HERE = secrets.token_urlsafe(32)


@dataclass(frozen=True)
class KeptPage:
    """A finished page. marks: of the tables it was made of; around: what else, see `_around`; until: when it
    is over."""

    marks: dict[str, str]
    around: Hashable
    until: dt.datetime | None
    headers: dict[str, str]
    content: bytes

    def is_still(self, now: Mapping[str, str], around: Hashable) -> bool:
        is_over = self.until is not None and clock.now() >= self.until
        return not is_over and self.around == around and self.marks.items() <= now.items()


def kept_page(view: View | None = None, *, also: Also | None = None) -> View:
    """Keep what the view answers."""
    if view is None:
        return functools.partial(kept_page, also=also)

    @functools.wraps(view)
    def reads(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not _may_be_kept(request):
            return view(request, *args, **kwargs)
        pages, place = caches["pages"], _place(request)
        before, around = marks(), _around(request, also or {})
        kept = pages.get(place)
        if kept is not None and kept.is_still(before, around):
            return _with_token(request, HttpResponse(kept.content, headers=kept.headers))
        request.token_stands_here = TOKEN_STANDS_HERE  # type: ignore[attr-defined]
        try:
            with tables_read() as read, clock.times_told() as told:
                answer = view(request, *args, **kwargs)
        finally:
            # The page that says why there is none is not this one.
            del request.token_stands_here  # type: ignore[attr-defined]
        made_of = read.difference(also or ())
        if _is_whole(request, answer) and made_of <= before.keys():
            then = {table: before[table] for table in made_of}
            made = KeptPage(then, around, _until(request, told), dict(answer.headers), answer.content)
            # Made while somebody wrote, it may hold some of the old and some of the new.
            if made.is_still(marks(), _around(request, also or {})):
                pages.set(place, made)
        return _with_token(request, answer)

    return reads


def keep_until(request: HttpRequest, *moments: dt.datetime) -> None:
    """When what the page says of the time of day is over, by `school.clock.now()`: at the first of `moments`;
    without one, it is over only with the day."""
    request.keep_until = moments  # type: ignore[attr-defined]


def _until(request: HttpRequest, told: Sequence[dt.datetime]) -> dt.datetime | None:
    """`told`: the times of day the view asked for."""
    minute_ends = (told[0].replace(second=0, microsecond=0) + dt.timedelta(minutes=1),) if told else ()
    return min(getattr(request, "keep_until", minute_ends), default=None)


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


def _around(request: HttpRequest, also: Also) -> Hashable:
    """What a page depends on besides the tables it is made of. No query, but for those of `also`."""
    person = request.user
    # The day of the story, and the real one, from which a device's clock is shifted.
    days = (clock.today(), timezone.localdate())
    said = tuple(asked(request) for asked in also.values())
    return _values(request.school), _values(person), person.roles, days, said  # type: ignore[attr-defined]


def _values(row: Model | None) -> tuple[object, ...]:
    """What the row says, which was read with the request and not by the view."""
    return tuple(getattr(row, field.attname) for field in row._meta.concrete_fields) if row else ()


def _is_whole(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether it is a finished page that says nothing only once."""
    is_page = answer.status_code == 200 and answer.headers.get("Content-Type", "").startswith("text/html")
    says_once = request.session.modified or answer.cookies or _says_once(request)
    return is_page and not answer.streaming and not says_once


def _with_token(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """The page with the reader's own token, another one each time, wherever one stands."""
    place = TOKEN_STANDS_HERE.encode()
    if not answer.streaming and place in answer.content:
        answer.content = answer.content.replace(place, get_token(request).encode())
    return answer
