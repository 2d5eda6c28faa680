"""Who is away, and who does not teach what: said, and taken back."""

from __future__ import annotations

import datetime as dt
import logging

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q

from curriculum.models import Dance, Figure, Level
from lessons.actions.again import plan_rest_again
from lessons.models import Away, Course, TeachesNot
from lessons.problems.wording import spoken_day
from school.clock import today
from school.models import Person

logger = logging.getLogger(__name__)


@transaction.atomic
def say_away(*, person: Person, first_day: dt.date, last_day: dt.date, by: Person) -> Away:
    """They are not at the school on these days. Nothing moves by itself: courses of theirs whose plan does
    not hold any more are planned again and offered. ValidationError names the field."""
    if last_day < first_day:
        raise ValidationError({"last_day": "This lies before the first day."})
    for other in person.away.filter(first_day__lte=last_day, last_day__gte=first_day):
        raise ValidationError({"first_day": f"{person} is away then already: {spoken_days(other)}."})
    away = Away.objects.create(person=person, first_day=first_day, last_day=last_day)
    _follow(person, f"{person} is away: {spoken_days(away)}.", by, away)
    return away


@transaction.atomic
def say_there(*, away: Away, by: Person) -> None:
    """They are there on these days after all. Said twice it is no mistake."""
    if Away.objects.filter(pk=away.pk).delete()[0]:
        _follow(away.person, f"{away.person} is there after all: {spoken_days(away)}.", by, away)


@transaction.atomic
def say_teaches_not(
    *, person: Person, dance: Dance, level: Level | None = None, figure: Figure | None = None, by: Person
) -> TeachesNot:
    """They do not teach this dance, or of it only this level or this figure. ValidationError at `what`."""
    what = figure or level or dance
    try:
        with transaction.atomic():
            row = TeachesNot.objects.create(person=person, dance=dance, level=level, figure=figure)
    except IntegrityError:
        raise ValidationError({"what": f"That {person} does not teach {what} is said already."}) from None
    _follow(person, f"{person} does not teach {what}.", by)
    return row


@transaction.atomic
def say_teaches(*, row: TeachesNot, by: Person) -> None:
    """They teach it after all. Said twice it is no mistake."""
    if TeachesNot.objects.filter(pk=row.pk).delete()[0]:
        _follow(row.person, f"{row.person} teaches {row.figure or row.level or row.dance} after all.", by)


def spoken_days(away: Away) -> str:
    """ "Tuesday 3 March", or "Tuesday 3 March to Friday 6 March"."""
    first = spoken_day(away.first_day)
    return first if away.first_day == away.last_day else f"{first} to {spoken_day(away.last_day)}"


def _follow(person: Person, occasion: str, by: Person, away: Away | None = None) -> None:
    """The courses that have a lesson to come which they give; with `away` only one on those days."""
    gives = Q(courseinstructor__person=person) | Q(lessons__lessoninstructor__person=person)
    then = {"lessons__cancelled_at": None, "lessons__date__gte": today()}
    if away is not None:
        then |= {
            "lessons__date__gte": max(today(), away.first_day),
            "lessons__date__lte": away.last_day,
        }
    courses = Course.objects.filter(gives, **then).values_list("pk", flat=True)
    plan_rest_again(courses=set(courses), by=by, occasion=occasion)
    logger.info("%s said: %s", by.pk, occasion)
