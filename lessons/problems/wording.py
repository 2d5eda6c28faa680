"""How notes and refusals speak of days and names."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence


def spoken_day(day: dt.date) -> str:
    """ "Tuesday 3 March": the year goes without saying inside a term."""
    return f"{day:%A} {day.day} {day:%B}"


def spoken_list(names: Sequence[str]) -> str:
    """ "fan", "fan and alemana", "fan, alemana and chase"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
