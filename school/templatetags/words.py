"""How numbers, dates and lengths are said on a page."""

from __future__ import annotations

import datetime as dt
import functools
from fractions import Fraction
from typing import Protocol

from django import template
from django.utils import formats
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from school.clock import today
from school.models import Person

register = template.Library()


class _Days(Protocol):
    first_day: dt.date
    last_day: dt.date


@register.filter
def beats(value: Fraction | int | None) -> str:
    """A length in beats: 6, 4 1/2."""
    if value is None:
        return ""
    whole, rest = divmod(Fraction(value), 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


@register.filter
def day(value: dt.date | None) -> str:
    """Wed 4 Mar; with its year where that is not this year's: Fri 1 Jan 1999."""
    return _with_year(value, "D j M")


@register.filter(expects_localtime=True)
def long_day(value: dt.date | None) -> str:
    """Wednesday 4 March; with its year where that is not this year's."""
    return _with_year(value, "l j F")


@register.filter(expects_localtime=True)
def month_day(value: dt.date | None) -> str:
    """4 March; with its year where that is not this year's."""
    return _with_year(value, "j F")


def _with_year(value: dt.date | None, words: str) -> str:
    if not value:
        return ""
    return formats.date_format(value, words if value.year == today().year else f"{words} Y")


@register.filter
def span(days: _Days) -> str:
    """From its first day to its last: 10 January to 26 March 2026, 14 December 2026 to 26 March 2027."""
    first, last = days.first_day, days.last_day
    begins = formats.date_format(first, "j F" if first.year == last.year else "j F Y")
    return f"{begins} to {formats.date_format(last, 'j F Y')}"


@register.filter
def clock(value: dt.time | None) -> str:
    """19:30, the local wall clock."""
    return value.strftime("%H:%M") if value else ""


@register.filter
def plainly(value: object) -> str:
    """Any one value as a person says it: yes, a list with commas, 4 March 2026, none."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value)) or "none"
    if isinstance(value, dt.date):
        return formats.date_format(value, "j F Y")
    return "none" if value in (None, "") else str(value)


@register.filter
def get(mapping: dict, key: object) -> object:
    """A mapping's value, for keys a template cannot spell."""
    return mapping.get(key) if mapping else None


@register.filter
def role_tags(person: Person) -> SafeString:
    """What somebody is here, and whether they have left, each a tag of its own."""
    return _tags(tuple(person.role_names), is_active=person.is_active)


@functools.cache
def _tags(names: tuple[str, ...], *, is_active: bool) -> SafeString:
    """For every mixture of roles once, for a list shows the same few of them row by row."""
    tags = [("tag", name) for name in names] + ([] if is_active else [("tag warn", "has left")])
    shown = format_html_join("", '<span class="{}">{}</span>', tags)
    return format_html('<span class="tags">{}</span>', shown)


@register.filter
def under_18(person: Person) -> SafeString:
    """The mark behind the name of whoever is under 18, on lists of the staff; it is not printed."""
    return mark_safe(' <span class="tag warn no-print">under 18</span>' if person.is_minor else "")  # noqa: S308 (no words of anybody's)
