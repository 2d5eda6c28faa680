"""The pictures of a routine: its strip, and the shapes of its joins."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from curriculum.strip import StripJoin
from curriculum.strip_picture import Picture
from curriculum.strip_svg import Places, mark_svg, strip_svg

register = template.Library()
register.simple_tag(mark_svg, name="join_mark")


@register.simple_tag(takes_context=True)
def strip_picture(context: dict[str, Any], picture: Picture, looks: str) -> SafeString:
    """With `place` and `look` (of the builder) its blocks are links to their places."""
    place = context.get("place")
    return strip_svg(picture, looks, Places(place.at, context["look"].kept) if place else None)


@register.simple_tag
@lru_cache(maxsize=500)
def join_line(join: StripJoin) -> SafeString:
    """How one comes to a figure, as shape, word and reason. Many joins of a row are alike."""
    if join.mark == "change":
        said = format_html("{}", join.reason)
    elif join.reason:
        said = format_html('{}. <span class="reason">{}</span>', join.word, join.reason)
    else:
        said = format_html("{}", join.word)
    return format_html('<p class="join-line {}">{} {}</p>', join.mark, mark_svg(join.mark), said)
