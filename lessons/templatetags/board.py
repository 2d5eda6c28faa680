"""Gauges of minutes, drawn by the server, with their words beside them."""

from __future__ import annotations

from typing import Any

from django import template

from lessons.board.values import Gauge

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
