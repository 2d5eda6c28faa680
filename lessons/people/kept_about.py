"""All that is kept about one person, in plain values they can read and carry away."""

from __future__ import annotations

import datetime as dt
from typing import Any

from lessons.people.about import ABOUT, About
from school.models import Person
from school.models.people import ChartsAs

Rows = list[dict[str, Any]]
_CHARTS = {value: "both roles" if value == ChartsAs.BOTH else str(label) for value, label in ChartsAs.choices}


def kept_about(person: Person) -> dict[str, Any]:
    """Heading -> what is kept: a value, or a list of rows. Ready for JSON but for days. Twenty queries.

    What an instructor or director did for the school (plans, records, sign-offs given) is the school's own
    record and not told here. Who asked not to be paired with whom is read by the named person only, for each
    such row is about two.
    """
    own: dict[str, Any] = {
        "name": person.name,
        "signs in as": person.username,
        "e-mail": person.email,
        "roles": sorted(person.roles),
        "at the school": person.is_active,
        "entered": person.created_at,
        "charts show": _CHARTS.get(person.charts_as, "the role danced"),
    }
    if person.is_minor:
        own |= {"under 18": True, "guardian": person.guardian_name}
    return {"person": own} | {about.told: _rows(about, person) for about in ABOUT if about.told}


def _rows(about: About, person: Person) -> Rows:
    """Each row by what its fields are called aloud, and what they say in words. One query."""
    words = {name: dict(about.model._meta.get_field(name).flatchoices) for name in about.fields}
    return [
        {_aloud(name): _in_words(value, words.get(name, {})) for name, value in row.items()}
        for row in about.rows(person).values(*about.fields, **about.named)
    ]


def _aloud(field: str) -> str:
    return field.removesuffix("_name").replace("_", " ")


def _in_words(value: Any, choices: dict[Any, Any]) -> Any:
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    return str(choices[value]) if value in choices else value
