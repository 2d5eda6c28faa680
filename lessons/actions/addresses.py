"""Addresses that open something without signing in: a person's calendar, a course's page for the wall."""

from __future__ import annotations

import logging

from django.core.exceptions import ValidationError
from django.db import transaction

from lessons.models import CalendarAddress, Course, WallAddress
from school import clock
from school.models import Person
from school.secrets_shown_once import hashed, new_secret, opened_by

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
    somebody who has left. One query."""
    return opened_by(CalendarAddress.objects.select_related("person").filter(person__is_active=True), secret)


def make_wall_address(*, course: Course, ends_with_term: bool, by: Person) -> str:
    """The secret of a new address for the course's wall, which cannot be had again; others stay open.

    ValidationError where it would end before it is made.
    """
    if ends_with_term and course.term.last_day < clock.today():
        raise ValidationError(f"{course.term} is over: an address that ends with it would open nothing.")
    secret = new_secret()
    WallAddress.objects.create(
        course=course,
        secret_hash=hashed(secret),
        ends_with_term=ends_with_term,
        made_by=by,
        made_at=clock.now(),
    )
    logger.info("%s made an address for the wall of %s", by.pk, course.pk)
    return secret


def withdraw_wall_address(*, address: WallAddress, by: Person) -> None:
    """It opens nothing from now on. Withdrawing twice changes nothing."""
    if WallAddress.objects.filter(pk=address.pk, withdrawn_at=None).update(withdrawn_at=clock.now()):
        logger.info("%s withdrew an address for the wall of %s", by.pk, address.course_id)


def find_wall_address(secret: str) -> WallAddress | None:
    """The live address that `secret` opens; None for one that ended, or never was. One query."""
    live = WallAddress.objects.live(clock.today())
    return opened_by(live.select_related("course__dance", "course__term"), secret)
