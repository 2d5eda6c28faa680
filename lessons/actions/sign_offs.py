"""Signing off what somebody leads or follows, and taking a sign-off back."""

from __future__ import annotations

import logging
from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models import Requirement, SignOff
from school import clock
from school.models import Person

logger = logging.getLogger(__name__)


@transaction.atomic
def sign_off(
    *,
    person: Person,
    role: str,
    add: Collection[Requirement],
    take_back: Collection[Requirement] = (),
    by: Person,
) -> None:
    """Sign off the lines `add` for the person in `role`, dated today and named; take back others.

    Somebody else's sign-off that came meanwhile stays as it is. ValidationError where a line is not asked of
    this role, where somebody signs for themselves, or takes back what another instructor signed (the director
    may).
    """
    if role not in FloorRole.values:
        raise ValidationError("Choose leader or follower.")
    if person.pk == by.pk:
        raise ValidationError("Nobody signs off for themselves: ask another instructor.")
    for line in add:
        if not line.is_asked_of(role):
            raise ValidationError(f"“{line}” is not asked of {FloorRole(role).label}s.")
    for line in take_back:
        _take_back(person, role, line, by)
    for line in add:
        what = {"figure": line.figure} if line.figure_id else {"habit": line}
        SignOff.objects.get_or_create(
            person=person, role=role, **what, defaults={"day": clock.today(), "signed_by": by}
        )
    logger.info("%s signed off %d lines for %s", by.pk, len(add), person.pk)


def _take_back(person: Person, role: str, line: Requirement, by: Person) -> None:
    what = Q(figure=line.figure_id) if line.figure_id else Q(habit=line)
    for row in SignOff.objects.filter(what, person=person, role=role).select_related("signed_by"):
        if row.signed_by_id not in (None, by.pk) and not by.is_director:
            raise ValidationError(
                f"“{line}” was signed off by {row.signed_by}: they or the director take it back."
            )
        row.delete()
