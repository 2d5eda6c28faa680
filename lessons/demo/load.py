"""The demo school, read from the data files beside this module and told on a given day."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from lessons.demo.dance_rows import load_dance
from lessons.demo.school_rows import load_school
from lessons.demo.story_rows import load_plans, load_records, load_requirements
from lessons.demo.term_rows import load_terms
from school.models import Person

DANCES = ("waltz", "cha_cha", "west_coast_swing")
SIGN_INS = ("director", "instructor", "student")


def demo_is_loaded() -> bool:
    """Whether the database holds the demo school (one database is one school). One query.

    Known by its three sign-ins and not by its name, which a visitor may change on the school's page.
    """
    return Person.objects.filter(username__in=SIGN_INS).count() == len(SIGN_INS)


@transaction.atomic
def load_demo_school(*, today: dt.date) -> None:
    """Write the demo school into an empty database, all or nothing, in a fixed number of queries.

    The story is told on a Wednesday, the term's 31st day. Whatever day of the week `today` is, it becomes
    that story day: every date and weekday moves along, so that there is always a lesson tonight.
    """
    school = load_school(today=today)
    dances = {rows.dance.name: rows for rows in map(load_dance, DANCES)}
    terms = load_terms(today=today, school=school, dances=dances)
    load_plans(terms=terms, school=school, dances=dances)
    load_requirements(dances=dances)
    load_records(terms=terms, school=school, dances=dances)
