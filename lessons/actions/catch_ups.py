"""Asking for a catch-up lesson, answering, taking it back. A place is given once, however many ask."""

from __future__ import annotations

import datetime as dt
import logging

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models import (
    HOLDING,
    Attendance,
    CatchUp,
    CatchUpState,
    Course,
    Enrolment,
    LessonSession,
)
from lessons.problems import spoken_day
from lessons.students.catch_up_places import floors_on, places_for, places_for_two
from school import clock
from school.models import Person

logger = logging.getLogger(__name__)

WITHIN = dt.timedelta(weeks=2)
"""How far ahead a catch-up lesson may lie: what was missed is wanted soon (common practice, no source)."""


@transaction.atomic
def ask_catch_up(
    *, lesson: LessonSession, missed: LessonSession, person: Person, with_partner: bool = False
) -> CatchUp:
    """Ask to come to `lesson` of a parallel course for `missed` of one's own; the place is held at once.

    with_partner: of a couple that booked together, for both: they leave the difference between the roles as
    it is. ValidationError with a sentence: it is no parallel course, the lesson was not missed, does not lie
    in the next two weeks, is over, or has no place left in the person's role.
    """
    course = _locked(lesson.course)
    own = _enrolment(missed, person)
    _refuse_unfit(lesson, missed, person)
    partner = _partner_to_bring(own, lesson) if with_partner else None
    if partner is None:
        _refuse_full(lesson, course, own.role, own.dances_both)
    else:
        _refuse_full_for_two(lesson, course)
        _hold(lesson, missed, partner, comes_along=True)
    logger.info("%s asks to come to the lesson %s", person.pk, lesson.pk)
    return _hold(lesson, missed, own)


@transaction.atomic
def answer_catch_up(*, catch_up: CatchUp, confirm: bool, by: Person) -> None:
    """Confirm or decline. ValidationError where it was taken back, or its place is gone by now."""
    course = _locked(catch_up.lesson.course)
    catch_up.refresh_from_db()
    if catch_up.state == CatchUpState.WITHDRAWN:
        raise ValidationError(f"{catch_up.person.first_name} has taken this back meanwhile.")
    if confirm and catch_up.state == CatchUpState.DECLINED:
        own = Enrolment.objects.filter(
            course=catch_up.missed.course_id, person=catch_up.person, dances_both=True, waiting=False
        )
        _refuse_full(catch_up.lesson, course, catch_up.role, own.exists())
    catch_up.state = CatchUpState.CONFIRMED if confirm else CatchUpState.DECLINED
    catch_up.answered_by, catch_up.answered_at = by, clock.now()
    catch_up.save(update_fields=["state", "answered_by", "answered_at"])


@transaction.atomic
def withdraw_catch_up(*, catch_up: CatchUp) -> None:
    """Taken back by who asked; the place is free again. ValidationError once the day is over."""
    if catch_up.lesson.date < clock.today():
        raise ValidationError("This lesson is over.")
    CatchUp.objects.holding().filter(pk=catch_up.pk).update(state=CatchUpState.WITHDRAWN)


def places_left(lesson: LessonSession, course: Course, role: str, *, dances_both: bool = False) -> int:
    """How many more in the role could come: places that nobody has, neither of the course nor of those who
    catch up, within the difference between the roles that the course allows. Two queries."""
    return places_for(course, floors_on([lesson])[lesson.pk], role, dances_both=dances_both)


def _locked(course: Course) -> Course:
    """The course, ours alone until the transaction ends: enrolling locks it too, so a place is given once."""
    return Course.objects.select_for_update().get(pk=course.pk)


def _enrolment(missed: LessonSession, person: Person) -> Enrolment:
    """As what the person was in the course of the lesson they missed, on that day."""
    there = Q(left__isnull=True) | Q(left__gt=missed.date)
    enrolled = Enrolment.objects.filter(there, course=missed.course_id, person=person, waiting=False)
    own = enrolled.filter(joined__lte=clock.today()).select_related("couple_with").first()
    if own is None:
        raise ValidationError("You are not in the course of that lesson.")
    return own


def _partner_to_bring(own: Enrolment, lesson: LessonSession) -> Enrolment | None:
    """The other of the couple, unless their place is held already. Nothing is said here of whether they were
    in the lesson that was missed: that is theirs."""
    partner = own.couple_with
    if partner is None:
        raise ValidationError("You are not booked as a couple: ask for yourself.")
    asked = CatchUp.objects.filter(lesson=lesson, person=partner.person_id).first()
    if asked is not None and asked.state == CatchUpState.DECLINED:
        raise ValidationError("This cannot be asked for the two of you any more: ask for yourself.")
    return None if asked is not None and asked.state in HOLDING else partner


def _hold(
    lesson: LessonSession, missed: LessonSession, enrolment: Enrolment, *, comes_along: bool = False
) -> CatchUp:
    """The place is theirs until the instructor answers."""
    asked, _ = CatchUp.objects.update_or_create(
        lesson=lesson,
        person_id=enrolment.person_id,
        defaults={
            "missed": missed,
            "role": enrolment.role,
            "comes_along": comes_along,
            "state": CatchUpState.ASKED,
            "asked_at": clock.now(),
            "answered_by": None,
            "answered_at": None,
        },
    )
    return asked


def _refuse_unfit(lesson: LessonSession, missed: LessonSession, person: Person) -> None:
    own, other = missed.course, lesson.course
    if own.pk == other.pk or own.group_id is None or own.group_id != other.group_id:
        raise ValidationError("That course is not kept in step with yours.")
    if own.term_id != other.term_id:
        raise ValidationError("That course is of another term.")
    if Attendance.objects.filter(record__lesson=missed, person=person).exists():
        raise ValidationError(f"You were there on {spoken_day(missed.date)}.")
    if lesson.is_cancelled:
        raise ValidationError(f"There is no class on {spoken_day(lesson.date)}.")
    if (
        lesson.begins <= clock.now()
        or LessonSession.objects.filter(pk=lesson.pk, record__isnull=False).exists()
    ):
        raise ValidationError("That lesson has begun already, or is over.")
    if lesson.date > clock.today() + WITHIN:
        raise ValidationError("Ask for a lesson of the next two weeks.")
    if CatchUp.objects.filter(lesson=lesson, person=person, state__in=["asked", "confirmed"]).exists():
        raise ValidationError("You have asked for this lesson already.")
    if CatchUp.objects.filter(lesson=lesson, person=person, state=CatchUpState.DECLINED).exists():
        raise ValidationError("Your instructor has answered already: choose another lesson.")


def _refuse_full(lesson: LessonSession, course: Course, role: str, dances_both: bool) -> None:
    if places_left(lesson, course, role, dances_both=dances_both) < 1:
        who = f"{FloorRole(role).label}s"
        raise ValidationError(
            f"The last place for {who} on {spoken_day(lesson.date)} has just been taken. "
            "Nothing of yours is lost: choose another lesson."
        )


def _refuse_full_for_two(lesson: LessonSession, course: Course) -> None:
    if not places_for_two(course, floors_on([lesson])[lesson.pk]):
        raise ValidationError(
            f"There is no place for two any more on {spoken_day(lesson.date)}. "
            "Nothing of yours is lost: choose another lesson."
        )
