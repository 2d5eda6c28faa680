"""Mails as they are handed over, and what became of one: a school without a mail server sends none."""

from __future__ import annotations

import logging
from enum import Enum, auto

from django.conf import settings
from django.core.mail import send_mail
from django.template.loader import render_to_string

from school.models import Person, School

logger = logging.getLogger(__name__)

NO_MAIL_SERVER = "this school has no mail server."
IS_PRINTED = "The mail is printed where the server was started."


class Sent(Enum):
    """What became of a mail. NOWHERE: no address is kept; PRINTED: in the demo, where it was started."""

    MAILED = auto()
    PRINTED = auto()
    NOWHERE = auto()
    NO_SERVER = auto()
    FAILED = auto()


def sends_mail() -> bool:
    """Whether what is sent from here reaches anybody."""
    return bool(settings.SENDS_MAIL and not settings.PRINTS_MAIL)


def send(name: str, *, to: Person, **known: object) -> Sent:
    """The mail of the templates `name`_subject.txt and `name`_mail.txt, to the address kept of a person: the
    guardian's where they are under 18. A mail server that fails raises nothing. Not to be called in a
    transaction, which would be held open as long as the mail server takes."""
    if not to.email:
        return Sent.NOWHERE
    if not settings.SENDS_MAIL:
        return Sent.NO_SERVER
    known |= {"person": to, "school": School.current()}
    try:
        send_mail(
            subject=render_to_string(f"{name}_subject.txt", known).strip(),
            message=render_to_string(f"{name}_mail.txt", known),
            from_email=None,
            recipient_list=[to.email],
        )
    except (OSError, ValueError):
        # The second: an address, or a line of the head, that cannot be written in a mail.
        logger.exception("the mail %s to %s could not be sent", name, to.pk)
        return Sent.FAILED
    return Sent.PRINTED if settings.PRINTS_MAIL else Sent.MAILED
