"""Who is in a course: enrolling, leaving, and the waiting list per role."""

from __future__ import annotations

import datetime as dt
from collections import Counter

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models import Course, Enrolment
from lessons.problems import spoken_day
from lessons.rules.places import Floor, couple_has_place, has_place
from school import clock
from school.models import Person


@transaction.atomic
def enrol(
    *,
    course: Course,
    person: Person,
    role: str,
    joined: dt.date | None = None,
    dances_both: bool = False,
    however_late: bool = False,
) -> Enrolment:
    """Enrol a person as leader ("L") or follower ("F") from `joined` (today unless given).

    With no place left in that role, or where the roles would differ by more than the course allows, the
    person stands on the waiting list (`enrolment.waiting`). `however_late`: also after the course's last day
    for newcomers. ValidationError names the field.
    """
    course = _locked(course)
    joined = _first_day(course, joined)
    if role not in FloorRole.values:
        raise ValidationError({"role": "Choose leader or follower."})
    if not however_late and course.newcomers_until and joined > course.newcomers_until:
        raise ValidationError(
            {"joined": f"Newcomers may join {course} until {spoken_day(course.newcomers_until)}."}
        )
    waiting = not _has_place(course, role, dances_both)
    try:
        with transaction.atomic():
            return Enrolment.objects.create(
                course=course,
                person=person,
                role=role,
                joined=joined,
                dances_both=dances_both,
                waiting=waiting,
            )
    except IntegrityError:
        raise ValidationError({"person": f"{person} is in {course} already."}) from None


@transaction.atomic
def enrol_couple(
    *,
    course: Course,
    person: Person,
    partner: Person,
    role: str,
    joined: dt.date | None = None,
    however_late: bool = False,
) -> tuple[Enrolment, Enrolment]:
    """Enrol two who come together: `person` in `role`, `partner` in the other. Both get a place or both wait,
    for a couple leaves the difference between the roles as it is. ValidationError names the field."""
    course = _locked(course)
    one = enrol(course=course, person=person, role=role, joined=joined, however_late=however_late)
    theirs = FloorRole.FOLLOWER if role == FloorRole.LEADER else FloorRole.LEADER
    try:
        other = enrol(course=course, person=partner, role=theirs, joined=joined, however_late=however_late)
    except ValidationError as refused:
        told = {
            "with_partner" if field == "person" else field: said
            for field, said in refused.message_dict.items()
        }
        raise ValidationError(told) from None
    one.couple_with, other.couple_with = other, one
    one.waiting = other.waiting = not _have_places(course, (one, other))
    for enrolment in (one, other):
        enrolment.save(update_fields=["couple_with", "waiting"])
    return one, other


@transaction.atomic
def end_enrolment(*, enrolment: Enrolment, left: dt.date | None = None) -> list[Enrolment]:
    """The person leaves after `left` (today unless given); return those who come off the waiting list.

    Whoever waited longest comes first, as far as there is a place in their role.
    """
    course = _locked(enrolment.course)
    left = left or clock.today()
    if enrolment.left is not None:
        raise ValidationError(f"{enrolment.person} has left already.")
    if left < enrolment.joined:
        raise ValidationError({"left": f"{enrolment.person} joined on {spoken_day(enrolment.joined)}."})
    # Whoever stays of a couple goes on alone.
    Enrolment.objects.filter(couple_with=enrolment).update(couple_with=None)
    enrolment.left, enrolment.couple_with = left, None
    enrolment.save(update_fields=["left", "couple_with"])
    return _take_off_waiting_list(course)


def next_in_line(enrolment: Enrolment) -> Enrolment | None:
    """Who has waited longest in the same role: the first to come in when this person leaves. One query."""
    if enrolment.waiting:
        return None
    waiting = enrolment.course.enrolments.filter(waiting=True, left=None, role=enrolment.role)
    return waiting.select_related("person").order_by("joined", "pk").first()


def _first_day(course: Course, joined: dt.date | None) -> dt.date:
    """The day somebody is in from: today unless given, and no day outside the term."""
    term = course.term
    if joined is None:
        joined = max(clock.today(), term.first_day)
    if joined < term.first_day:
        raise ValidationError({"joined": f"{term} begins only on {spoken_day(term.first_day)}."})
    if joined > term.last_day:
        raise ValidationError(
            {"joined": f"{term} ends on {spoken_day(term.last_day)}: nobody joins after it."}
        )
    return joined


def _locked(course: Course) -> Course:
    """The course, ours alone until the transaction ends: the last place is given once."""
    return Course.objects.select_for_update().get(pk=course.pk)


def _take_off_waiting_list(course: Course) -> list[Enrolment]:
    """Whoever waited longest first; a couple when there is a place for both."""
    taken: list[Enrolment] = []
    waiting = course.enrolments.filter(waiting=True, left=None)
    for enrolment in waiting.select_related("person", "couple_with__person").order_by("joined", "pk"):
        if enrolment in taken:
            continue
        coming = tuple(one for one in (enrolment, enrolment.couple_with) if one is not None)
        if _have_places(course, coming):
            for one in coming:
                one.waiting = False
                one.save(update_fields=["waiting"])
            taken.extend(coming)
    return taken


def _have_places(course: Course, coming: tuple[Enrolment, ...]) -> bool:
    """Whether one, or a couple, finds a place beside those who have one already. One query."""
    if len(coming) == 1:
        return _has_place(course, coming[0].role, coming[0].dances_both)
    inside = course.enrolments.filter(_in_it(), waiting=False).exclude(pk__in=[one.pk for one in coming])
    taken = Counter(inside.values_list("role", flat=True))
    return couple_has_place(
        Floor(taken["L"], taken["F"]),
        places_leaders=course.places_leaders,
        places_followers=course.places_followers,
    )


def _in_it() -> Q:
    """Who dances there from now on."""
    return Q(left=None) | Q(left__gt=clock.today())


def _has_place(course: Course, role: str, dances_both: bool) -> bool:
    rows = course.enrolments.filter(_in_it(), waiting=False).values_list("role", "dances_both")
    people = [(who, both) for who, both in rows]
    floor = Floor(
        leaders=sum(who == FloorRole.LEADER for who, _ in people),
        followers=sum(who == FloorRole.FOLLOWER for who, _ in people),
        leaders_dancing_both=sum(who == FloorRole.LEADER and both for who, both in people),
        followers_dancing_both=sum(who == FloorRole.FOLLOWER and both for who, both in people),
    )
    places = course.places_leaders if role == FloorRole.LEADER else course.places_followers
    return has_place(
        floor, role, dances_both=dances_both, places=places, allowed_difference=course.allowed_difference
    )
