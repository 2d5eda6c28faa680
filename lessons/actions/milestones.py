"""Milestones of a course: a date by which a routine or a set of figures must be taught."""

from __future__ import annotations

import logging
from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from curriculum.models import Figure
from lessons.actions.again import plan_rest_again
from lessons.actions.errors import Overtaken
from lessons.models import Milestone
from lessons.problems.wording import spoken_day
from school.models import Person

logger = logging.getLogger(__name__)

_CHANGED = (
    "Somebody changed this milestone while you had it open. Nothing of yours is saved yet; it stands below "
    "as you typed it. Press again to put yours in place of theirs."
)


@transaction.atomic
def save_milestone(*, milestone: Milestone, version: int, figures: Collection[Figure], by: Person) -> None:
    """Set a milestone, or change it: name, day, routine, and the figures it asks for beside the routine's.

    `version`: of the milestone the writer was looking at, 0 for a new one. What it demands binds every plan
    of the course from now on (`lessons.problems.demands`). Raises Overtaken where somebody wrote in between;
    ValidationError names the field.
    """
    _refuse(milestone, figures)
    if milestone.pk:
        _take(milestone, version)
        milestone.version = version + 1
    milestone.save()
    milestone.figures.set(figures)
    logger.info("%s set milestone %s of course %s", by.pk, milestone.pk, milestone.course_id)
    said = f"{milestone.name} is on {spoken_day(milestone.day)}."
    plan_rest_again(courses=[milestone.course_id], by=by, occasion=said)


@transaction.atomic
def remove_milestone(*, milestone: Milestone, version: int, by: Person) -> None:
    """Nothing is asked for by that day any more. Raises Overtaken where somebody changed it in between."""
    _take(milestone, version)
    course, name = milestone.course_id, milestone.name
    milestone.delete()
    plan_rest_again(courses=[course], by=by, occasion=f"{name} asks for nothing any more.")
    logger.info("%s took a milestone out", by.pk)


def _take(milestone: Milestone, version: int) -> None:
    ours = Milestone.objects.filter(pk=milestone.pk, version=version)
    if not ours.update(version=F("version") + 1):
        raise Overtaken(_CHANGED)


def _refuse(milestone: Milestone, figures: Collection[Figure]) -> None:
    course, routine = milestone.course, milestone.routine
    refused: dict[str, str] = {}
    first = course.lessons.given().in_order().first()
    if milestone.day > course.term.last_day:
        refused["day"] = f"{course.term} ends on {spoken_day(course.term.last_day)}."
    elif first is None and milestone.day < course.term.first_day:
        refused["day"] = f"{course.term} begins only on {spoken_day(course.term.first_day)}."
    elif first is not None and milestone.day < first.date:
        refused["day"] = f"The first lesson is on {spoken_day(first.date)}: nothing can be taught before it."
    strangers = [figure.name for figure in figures if figure.dance_id != course.dance_id]
    if strangers:
        refused["figures"] = f"{strangers[0]} belongs to another dance."
    if routine is not None and routine.level.dance_id != course.dance_id:
        refused["routine"] = f"{routine} belongs to another dance."
    if routine is None and not figures:
        refused["figures"] = "Choose a routine, or at least one figure: what is to be danced by then?"
    if refused:
        raise ValidationError(refused)
