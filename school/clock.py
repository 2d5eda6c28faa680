"""The one place that knows what day it is: the real one, or the day the demo's story is told on."""

import datetime as dt

from django.conf import settings
from django.utils import timezone


def today() -> dt.date:
    """The day in the school's time zone (activated for each request)."""
    return dt.date.fromisoformat(settings.TODAY) if settings.TODAY else timezone.localdate()


def now() -> dt.datetime:
    """The moment, aware, in the school's zone: the real time of day on the day of `today()`."""
    moment = timezone.localtime()
    if not settings.TODAY:
        return moment
    return dt.datetime.combine(today(), moment.time(), tzinfo=moment.tzinfo)
