"""Inviting somebody, and taking an invitation up."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from school import clock
from school.actions import suggest_username
from school.mails import Sent, send
from school.models import Invitation, Person, PersonRole
from school.models.joining import DAYS_OPEN
from school.secrets_shown_once import hashed, new_secret, opened_by

logger = logging.getLogger(__name__)

USED = "This invitation has been taken up already. Sign in with the name and password chosen then."
WITHDRAWN = "This invitation was withdrawn, or a newer one took its place. Ask the school for it."
OVER = "This invitation is over. Ask the school for a new one."
GONE = "You are no longer entered at this school, so there is nothing to take up. Ask the school."


@transaction.atomic
def invite_new(*, person: Person, roles: Iterable[str], by: Person) -> tuple[Invitation, str]:
    """Save a new person with their roles, and invite them. Until they take it up they cannot sign in, but can
    be enrolled, be counted and be found."""
    person.username = person.username or suggest_username(person.shown_name)
    person.set_unusable_password()
    person.save()
    PersonRole.objects.bulk_create(PersonRole(person=person, role=role) for role in dict.fromkeys(roles))
    return invite(person=person, by=by)


@transaction.atomic
def invite(*, person: Person, by: Person) -> tuple[Invitation, str]:
    """An invitation and its secret, which cannot be had again. An earlier one of the person opens nothing
    from now on. ValidationError for somebody who has left."""
    person = Person.objects.select_for_update().get(pk=person.pk)
    if not person.is_active:
        raise ValidationError(f"{person} has left the school. Give back the tick under roles first.")
    secret, made = new_secret(), clock.now()
    person.invitations.all().withdraw(made)
    invitation = Invitation.objects.create(
        person=person,
        secret_hash=hashed(secret),
        made_by=by,
        made_at=made,
        ends_at=made + dt.timedelta(days=DAYS_OPEN),
    )
    logger.info("%s invited %s", by.pk, person.pk)
    return invitation, secret


def withdraw(*, person: Person, by: Person) -> bool:
    """What the person has not taken up opens nothing from now on; False where there was nothing open."""
    had_one = Invitation.objects.filter(person=person).withdraw(clock.now()) > 0
    if had_one:
        logger.info("%s withdrew the invitation of %s", by.pk, person.pk)
    return had_one


def how_invited(person: Person) -> dict[str, object]:
    """For a person's page: the newest invitation, whether its time is over, and whether one can be made: for
    whoever has no password, or one of ours for one time. One query."""
    newest = Invitation.objects.select_related("made_by").filter(person=person).first()
    has_own_password = person.has_usable_password() and not person.password_is_one_time
    return {
        "invitation": newest,
        "invitation_is_over": newest is not None and newest.ends_at <= clock.now(),
        "can_be_invited": person.is_active and not has_own_password,
    }


def invitation_of(secret: str) -> Invitation | None:
    """The invitation that `secret` belongs to, whatever has become of it; None where there is none."""
    return opened_by(Invitation.objects.select_related("person"), secret)


def why_not(invitation: Invitation) -> str:
    """Why it cannot be taken up now, in a sentence; empty where it can."""
    if invitation.used_at:
        return USED
    if invitation.withdrawn_at:
        return WITHDRAWN
    if not invitation.person.is_active:
        return GONE
    return OVER if invitation.ends_at <= clock.now() else ""


@transaction.atomic
def take_up(*, invitation: Invitation, username: str, password: str) -> Person:
    """The person signs in by this name and password from now on. ValidationError where it cannot be taken up,
    by the second of two requests at once as well: the first one's choice stands."""
    invitation = (
        Invitation.objects.select_for_update(of=("self",)).select_related("person").get(pk=invitation.pk)
    )
    if refusal := why_not(invitation):
        raise ValidationError(refusal)
    person = invitation.person
    person.username = username
    person.set_password(password)
    person.password_is_one_time = False
    person.save(update_fields=["username", "password", "password_is_one_time"])
    invitation.used_at = clock.now()
    invitation.save(update_fields=["used_at"])
    return person


def post(*, invitation: Invitation, address: str) -> Sent:
    """Send it to the person's e-mail address. Not to be called in a transaction."""
    return send("school/invitation", to=invitation.person, invitation=invitation, address=address)
