"""Links that give another instructor one lesson on one page: made, found again, withdrawn.

Its secret is shown once and never kept (`school.secrets_shown_once`).
"""

from __future__ import annotations

import logging

from django.core.exceptions import ValidationError
from django.db import transaction

from lessons.models import CoverLink, LessonSession
from lessons.models.covers import link_ends
from school import clock
from school.models import Person
from school.secrets_shown_once import hashed, new_secret, opened_by

logger = logging.getLogger(__name__)


@transaction.atomic
def make_cover_link(*, lesson: LessonSession, by: Person) -> tuple[CoverLink, str]:
    """A new link, and its secret, which cannot be had again.

    ValidationError for a lesson that was cancelled, or whose next morning has come.
    """
    if lesson.is_cancelled:
        raise ValidationError("This lesson was cancelled: there is nothing to take over.")
    made = clock.now()
    if link_ends(lesson) <= made:
        raise ValidationError("This lesson is over: there is nothing to take over.")
    secret = new_secret()
    link = CoverLink.objects.create(lesson=lesson, secret_hash=hashed(secret), made_by=by, made_at=made)
    logger.info("%s made a link to the lesson of %s on %s", by.pk, lesson.course_id, lesson.date)
    return link, secret


@transaction.atomic
def withdraw_cover_link(*, link: CoverLink, by: Person) -> None:
    """It opens nothing from now on. Withdrawing twice changes nothing."""
    withdrawn = CoverLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=clock.now())
    if withdrawn:
        logger.info("%s withdrew a link to the lesson %s", by.pk, link.lesson_id)


def find_cover_link(secret: str) -> CoverLink | None:
    """The live link that `secret` opens, or None: not there, ended and withdrawn cannot be told apart. One
    query."""
    return opened_by(CoverLink.objects.live(clock.now()), secret)
