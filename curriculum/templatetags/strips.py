"""The pictures of a routine: its strip, and the shapes of its joins."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.safestring import SafeString

from curriculum.strip_picture import Picture
from curriculum.strip_svg import Places, mark_svg, strip_svg

register = template.Library()
register.simple_tag(mark_svg, name="join_mark")


@register.simple_tag(takes_context=True)
def strip_picture(context: dict[str, Any], picture: Picture, looks: str) -> SafeString:
    """With `place` and `look` (of the builder) its blocks are links to their places."""
    place = context.get("place")
    return strip_svg(picture, looks, Places(place.at, context["look"].kept) if place else None)
