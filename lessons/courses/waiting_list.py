"""Why somebody stands on a course's waiting list."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q

from curriculum.models import FloorRole
from lessons.models import Course, Enrolment
from lessons.people.helpers import floor_of
from lessons.rules.places import why_no_place, why_no_place_for_couple
from school.clock import today


def inside(course: Course) -> list[Enrolment]:
    """Who dances there from now on, without those who wait. One query."""
    return list(course.enrolments.filter(Q(left=None) | Q(left__gt=today()), waiting=False))


def why_it_waits(enrolment: Enrolment, dancing: Iterable[Enrolment]) -> str:
    """Why there is no place beside those `dancing`, to follow "because"; empty where there is one. No query
    where the enrolment knows its course."""
    course, floor = enrolment.course, floor_of(dancing)
    if enrolment.couple_with_id is not None:
        return why_no_place_for_couple(
            floor, places_leaders=course.places_leaders, places_followers=course.places_followers
        )
    leads = enrolment.role == FloorRole.LEADER
    return why_no_place(
        floor,
        enrolment.role,
        dances_both=enrolment.dances_both,
        places=course.places_leaders if leads else course.places_followers,
        allowed_difference=course.allowed_difference,
    )
