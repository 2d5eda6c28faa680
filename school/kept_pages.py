"""Pages that are read again and again are kept until something they show has changed.

`@kept_page` stands on a view that only reads. It answers a signed-in person's GET with what the same person
was last given at the same address, as long as the school, the person, their roles and the day are the same
and no message waits to be shown, and

- nothing was written since to any table of which the page was made (`school.changes`), or
- what was written changes none of the answers the page was made of: those are asked for again, which costs a
  small part of making the page (`school.changes.questions`).

Which tables and answers those are is not said but seen, while the page is made. The door is passed before:
roles are read anew each time. The form's token is put in anew for each answer.

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
from dataclasses import dataclass, replace

from django.conf import settings
from django.contrib.messages import get_messages
from django.core.cache import caches
from django.db import DatabaseError
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils import timezone

from school import clock
from school.changes import marks
from school.changes.questions import Question, asked_meanwhile

View = Callable[..., HttpResponse]
# Table that is not watched -> what the page says of it.
Also = Mapping[str, Callable[[HttpRequest], Hashable]]
# In the place of the token in whatever is kept. Nobody can write this into a page: it is never sent.
TOKEN_STANDS_HERE = secrets.token_urlsafe(32)


@dataclass(frozen=True)
class KeptPage:
    """A finished page. made_of: what was asked and answered; marks: of the tables it was asked of; around:
    what else it depends on, see `_around`; until: when it is over."""

    made_of: dict[Question, bytes]
    marks: dict[str, str]
    around: Hashable
    until: dt.datetime | None
    headers: dict[str, str]
    content: bytes

    def is_over(self, around: Hashable) -> bool:
        return self.around != around or (self.until is not None and clock.now() >= self.until)

    def holds(self, now: Mapping[str, str]) -> bool:
        """Whether the page would be made the same again. A query for each question of which a table was
        written to since."""
        written = {table for table, said in self.marks.items() if now.get(table) != said}
        doubtful = {one: said for one, said in self.made_of.items() if not written.isdisjoint(one.tables)}
        try:
            return all(question.ask() == said for question, said in doubtful.items())
        except DatabaseError:
            # A table is no longer what it was: whoever makes the page will know, or meet the same.
            return False


def kept_page(view: View | None = None, *, also: Also | None = None) -> View:
    """Keep what the view answers."""
    if view is None:
        return functools.partial(kept_page, also=also)

    @functools.wraps(view)
    def reads(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if not _may_be_kept(request):
            return view(request, *args, **kwargs)
        place, now, around = _place(request), marks(), _around(request, also or {})
        kept: KeptPage | None = caches["pages"].get(place)
        if kept is not None and not kept.is_over(around) and kept.holds(now):
            _keep(place, kept, now)
            return _with_token(request, HttpResponse(kept.content, headers=kept.headers))
        request.token_stands_here = TOKEN_STANDS_HERE  # type: ignore[attr-defined]
        try:
            with asked_meanwhile() as asked, clock.times_told() as told:
                answer = view(request, *args, **kwargs)
        finally:
            # The page that says why there is none is not this one.
            del request.token_stands_here  # type: ignore[attr-defined]
        is_watched = asked.tables.difference(also or ()) <= now.keys()
        if _is_whole(request, answer) and asked.only_reads and is_watched:
            made_of, until = asked.answers(), _until(request, told)
            made = KeptPage(made_of, {}, around, until, dict(answer.headers), answer.content)
            if not made.is_over(_around(request, also or {})):
                _keep(place, made, now)
        return _with_token(request, answer)

    return reads


def _keep(place: str, page: KeptPage, now: Mapping[str, str]) -> None:
    """Under the marks of before it was made, or looked through: what was made while somebody wrote may hold
    some of the old and some of the new, and is not kept. A query, where anything was written."""
    tables = {table for question in page.made_of for table in question.tables if table in now}
    then = {table: now[table] for table in tables}
    if page.marks != then and then.items() <= marks().items():
        caches["pages"].set(place, replace(page, marks=then))


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
