"""The field for a school's time zone: suggested while typing, and taken however it is spelt."""

from __future__ import annotations

import functools
import zoneinfo
from typing import Any

from django import forms
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from school.models.places import check_zone


@functools.cache
def zones() -> dict[str, str]:
    """The names of the tz database, by their letters in small."""
    return {name.casefold(): name for name in sorted(zoneinfo.available_timezones())}


class ZoneInput(forms.TextInput):
    """A line to type in, with all the zones there are to choose from."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        own = {**(attrs or {}), "list": f"{name}-choices", "autocomplete": "off"}
        field = super().render(name, value, own, renderer)
        options = format_html_join(
            "", '<option value="{}">', ((zone,) for zone in zones().values() if "/" in zone)
        )
        return format_html('{}<datalist id="{}-choices">{}</datalist>', field, name, options)


class ZoneField(forms.CharField):
    """A time zone: capital letters do not count, and a space is as good as the _ of a name."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            label="Time zone",
            max_length=64,
            help_text="Written like Europe/London; choose from those that come up while you type.",
            validators=[check_zone],
            widget=ZoneInput,
            **kwargs,
        )

    def to_python(self, value: Any) -> str:
        typed = "_".join(super().to_python(value).split())
        return zones().get(typed.casefold(), typed)
