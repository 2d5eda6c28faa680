"""Whose part of a chart somebody is shown: as they chose for every chart, else the one they dance."""

from __future__ import annotations

from curriculum.chart_table import ROLES
from curriculum.hooks import roles_danced
from school.models import Person


def role_shown(reader: Person, dance: int) -> str:
    """ "leader" or "follower", or "" for both. `dance`: its pk.

    What they chose; else, for who learns and teaches nothing, the one role they dance. Who teaches from a
    chart, or dances both roles, is shown both. A query, or none where they chose.
    """
    if reader.charts_as:
        return reader.charts_as if reader.charts_as in ROLES.values() else ""
    if reader.is_director or reader.is_instructor:
        return ""
    danced = {role for told in roles_danced for role in told(reader, dance)}
    return ROLES[danced.pop()] if len(danced) == 1 else ""
