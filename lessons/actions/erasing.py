"""Somebody who danced here is taken out of what is kept; how many danced stays right."""

from __future__ import annotations

import logging

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet

from lessons.models import CourseInstructor, Enrolment, LessonInstructor, PrivateLesson
from lessons.people.about import ABOUT, Fate
from school import clock
from school.models import Person

logger = logging.getLogger(__name__)

ERASED = "somebody erased"


@transaction.atomic
def ask_to_be_erased(*, person: Person, wanted: bool) -> None:
    """Note that they ask for it, or no longer do. The director sees it among what waits."""
    person.asked_to_be_erased = clock.now() if wanted else None
    person.save(update_fields=["asked_to_be_erased"])


def why_not_erased(person: Person) -> str:
    """Why somebody stays by name, in a sentence; empty where they can be erased. Four queries at most."""
    if person.erased_at:
        return "Nothing of them is left but the counts."
    if person.is_director or person.is_instructor:
        return f"{person.name} works here. Take the roles of director and instructor away first."
    in_front = Q(pk__in=CourseInstructor.objects.filter(person=person).values("person"))
    in_front |= Q(pk__in=LessonInstructor.objects.filter(person=person).values("person"))
    in_front |= Q(pk__in=PrivateLesson.objects.filter(instructor=person).values("instructor"))
    if Person.objects.filter(in_front, pk=person.pk).exists():
        return (
            f"{person.name} has taught here, and what was taught stays with the name of who taught it. "
            "Empty the e-mail address, and take away the tick “is at the school”."
        )
    return ""


def lessons_ahead(person: Person) -> QuerySet[PrivateLesson]:
    """Private lessons of theirs still to be given: of days to come, and of today from this hour on."""
    now = clock.now()
    later_today = Q(date=now.date(), start__gt=now.time())
    rows = PrivateLesson.objects.filter(Q(date__gt=now.date()) | later_today, person=person)
    return rows.select_related("instructor", "room").order_by("date", "start", "pk")


@transaction.atomic
def erase(*, person: Person, by: Person) -> None:
    """Take the name and all that is said of them out, for good. Places they held become free to give: an
    enrolment that runs ends today, a private lesson ahead is taken out, and who was there when is counted
    without a name.

    ValidationError for whoever taught here: what was taught stays by name.
    """
    person = Person.objects.select_for_update().get(pk=person.pk)
    if refusal := why_not_erased(person):
        raise ValidationError(refusal)
    for about in ABOUT:
        if about.fate is Fate.GOES:
            about.rows(person).delete()
    today = clock.today()
    enrolments = Enrolment.objects.filter(person=person)
    enrolments.filter(Q(waiting=True) | Q(joined__gt=today)).delete()
    enrolments.filter(left=None).update(left=today)
    lessons_ahead(person).delete()
    private = PrivateLesson.objects.filter(person=person)
    private.update(homework="")
    for lesson in private:
        lesson.worked_on.update(note="")
    person.name, person.username, person.email = ERASED, f"erased-{person.pk}", ""
    person.guardian_name, person.charts_as = "", ""
    person.is_active = person.password_is_one_time = person.is_minor = False
    person.asked_to_be_erased, person.erased_at = None, clock.now()
    person.set_unusable_password()
    person.save()
    logger.info("%s erased %s", by.pk, person.pk)
