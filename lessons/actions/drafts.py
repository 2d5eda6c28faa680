"""A draft's name, and throwing a draft away."""

from __future__ import annotations

import datetime as dt
import logging

from django.core.exceptions import ValidationError

from lessons.models import PlanStatus, TermPlan
from school.models import Person

logger = logging.getLogger(__name__)


def name_of_draft(now: dt.datetime) -> str:
    """ "Draft of 25 November, 08:25": told from others by when it was begun, until somebody names it."""
    return f"Draft of {now.day} {now:%B, %H:%M}"


def rename_draft(*, plan: TermPlan, name: str, by: Person) -> None:
    """Names are for people: nobody's turn is taken. ValidationError for what is no draft any more."""
    if not TermPlan.objects.filter(pk=plan.pk, status=PlanStatus.DRAFT).update(name=name):
        raise ValidationError("Only a draft is named. This plan is one no more.")
    logger.info("%s named plan %s", by, plan.pk)


def discard_draft(*, plan: TermPlan, by: Person) -> None:
    """Delete the draft with all that stands in it, and its runs. What was ever published is kept.

    A worker that plans it just now finds its run gone and lets it be.
    """
    gone, _ = TermPlan.objects.filter(pk=plan.pk, status=PlanStatus.DRAFT).delete()
    if not gone:
        raise ValidationError("Only a draft is thrown away. This plan is one no more.")
    logger.info("%s threw plan %s away", by, plan.pk)
