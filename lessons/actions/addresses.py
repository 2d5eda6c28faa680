"""A person's calendar address: made, renewed so that the old one stops, taken away, found again."""

from __future__ import annotations

import logging

from django.db import transaction

from lessons.models import CalendarAddress
from school import clock
from school.models import Person
from school.secrets_shown_once import hashed, is_secret_of, new_secret

logger = logging.getLogger(__name__)


@transaction.atomic
def renew_calendar_address(*, person: Person) -> str:
    """A new secret, which cannot be had again; one that was there opens nothing from now on."""
    secret = new_secret()
    CalendarAddress.objects.update_or_create(
        person=person, defaults={"secret_hash": hashed(secret), "made_at": clock.now()}
    )
    logger.info("%s has a new calendar address", person.pk)
    return secret


def end_calendar_address(*, person: Person) -> None:
    CalendarAddress.objects.filter(person=person).delete()


def find_calendar_address(secret: str) -> CalendarAddress | None:
    """The address that `secret` opens, with its person; None for one that was renewed or never was, and for
    somebody who has left. It is looked up by its hash and compared in constant time. One query."""
    found = CalendarAddress.objects.select_related("person").filter(
        secret_hash=hashed(secret), person__is_active=True
    )
    address = found.first()
    return address if address and is_secret_of(address.secret_hash, secret) else None
