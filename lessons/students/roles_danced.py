"""Which roles on the floor somebody dances now: what charts show them who chose nothing."""

from __future__ import annotations

from collections.abc import Iterable

from curriculum.models import FloorRole
from lessons.models import Enrolment
from school.clock import today
from school.models import Person


def roles_danced_by(person: Person, dance: int) -> frozenset[str]:
    """Values of FloorRole: in the courses of the dance (pk) they are in, else in all they are in; of terms
    that run or come, else of those that were. One query."""
    rows = Enrolment.objects.filter(person=person, waiting=False, left=None).order_by()
    found = list(rows.values_list("role", "dances_both", "course__dance", "course__term__last_day"))
    found = [row for row in found if row[3] >= today()] or found
    here = [row for row in found if row[2] == dance] or found
    return frozenset(_roles(row[:2] for row in here))


def _roles(rows: Iterable[tuple[str, bool]]) -> Iterable[str]:
    for role, dances_both in rows:
        yield from FloorRole.values if dances_both else [role]
