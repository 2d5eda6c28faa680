"""How notes and refusals speak of days and names."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from school.clock import today


def spoken_day(day: dt.date) -> str:
    """ "Tuesday 3 March": the year goes without saying where it is this year's."""
    year = "" if day.year == today().year else f" {day.year}"
    return f"{day:%A} {day.day} {day:%B}{year}"


def spoken_list(names: Sequence[str]) -> str:
    """ "fan", "fan and alemana", "fan, alemana and chase"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
