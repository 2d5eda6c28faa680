"""Gauges of minutes, drawn by the server, with their words beside them."""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import replace
from typing import Any

from django import template
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils.safestring import SafeString

from lessons.board.values import Column, Gauge
from school.clock import today

register = template.Library()

WIDTH, HEIGHT = 40, 60


@register.inclusion_tag("lessons/_gauge.html")
def gauge(value: Gauge, tallest: int, size: str = "") -> dict[str, Any]:
    """An upright gauge. `tallest`: minutes of the fullest lesson beside it, so that all share one scale."""

    def high(minutes: int) -> float:
        return round(minutes * HEIGHT / max(tallest, 1), 1)

    new, again = min(value.new, value.room), min(value.again, max(value.room - value.new, 0))
    parts = [("new", new), ("again", again), ("over", value.over)]
    bars, top = [], float(HEIGHT)
    for kind, minutes in parts:
        if minutes:
            top = round(top - high(minutes), 1)
            bars.append({"kind": kind, "y": top, "height": high(minutes)})
    room = high(value.room)
    return {
        "gauge": value,
        "bars": bars,
        "room": {"y": round(HEIGHT - room, 1), "height": room},
        "width": WIDTH,
        "height": HEIGHT,
        "size": size,
    }


@register.simple_tag
def term_lesson(column: Column, tallest: int) -> SafeString:
    """A lesson, or a gap, on the term's sheet. Most stay as they are for weeks: what was drawn lately is at
    hand."""
    return _term_lesson(replace(column, lesson=None), tallest, today(), get_script_prefix())


@functools.lru_cache(maxsize=4096)
def _term_lesson(column: Column, tallest: int, day: dt.date, prefix: str) -> SafeString:
    """`day`, `prefix`: of today and of all addresses, on which its words and its link depend."""
    return render_to_string("lessons/_term_cell.html", {"column": column, "tallest": tallest})
