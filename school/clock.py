"""The one place that knows what day it is: the real one, or the day the demo's story is told on."""

import datetime as dt
import zoneinfo
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.conf import settings
from django.utils import timezone

from school.models import School


@contextmanager
def school_time() -> Iterator[None]:
    """Activates the school's zone for what runs outside a request: workers and commands. One query."""
    school = School.current()
    with timezone.override(zoneinfo.ZoneInfo(school.time_zone if school else "UTC")):
        yield


def today() -> dt.date:
    """The day in the school's time zone (activated for each request, and by `school_time`)."""
    return dt.date.fromisoformat(settings.TODAY) if settings.TODAY else timezone.localdate()


def now() -> dt.datetime:
    """The moment, aware, in the school's zone: the real time of day on the day of `today()`."""
    moment = timezone.localtime()
    if settings.TODAY:
        moment = dt.datetime.combine(today(), moment.time(), tzinfo=moment.tzinfo)
    if (told := _told.get()) is not None:
        told.append(moment)
    return moment


_told: ContextVar[list[dt.datetime] | None] = ContextVar("told", default=None)


@contextmanager
def times_told() -> Iterator[list[dt.datetime]]:
    """The moments `now` gives meanwhile: filled as it is asked."""
    told: list[dt.datetime] = []
    before = _told.set(told)
    try:
        yield told
    finally:
        _told.reset(before)
