"""The surname of somebody under 18 stands on no page: every address is walked by everybody who may open it.

Only the director reads it, on that person's own pages (common practice, no source).
"""

import datetime as dt

import pytest

from lessons.models import Attendance, Enrolment, LessonSession, NotPaired, Requirement, SignOff
from school.models import Person, PhotoWord
from tests.access_walk import WALK
from tests.factories import (
    CatchUpFactory,
    CourseFactory,
    EnrolmentFactory,
    HelperCallFactory,
    HelperFactory,
    PersonFactory,
    PrivateLessonFactory,
    RecordFactory,
)
from tests.test_access import PATTERNS, address, cast, client_of, one_of_everything

__all__ = ["cast", "one_of_everything"]

SURNAME = "Quennevere"
# The person's own pages, of which a director changes something there.
OWN = {
    "school:person",
    "school:person-edit",
    "school:person-roles",
    "school:person-remove",
    "school:person-one-time-password",
    "school:invitation",
    "school:photographs",
    "lessons:person-erase",
}


@pytest.fixture
def everywhere(cast):
    """Somebody under 18 wherever somebody can stand; the cast with them in place of a person."""
    pip = PersonFactory(
        name=f"Pip {SURNAME}",
        is_minor=True,
        guardian_name=f"Una {SURNAME}",
        roles=["student"],
        asked_to_be_erased=dt.datetime(2026, 1, 20, tzinfo=dt.UTC),
    )
    lessons = list(LessonSession.objects.filter(course=cast["course"]).order_by("date"))
    own = EnrolmentFactory(course=lessons[0].course, person=pip, role="L")
    partner = Enrolment.objects.get(course=cast["course"], person=cast["student"])
    own.couple_with, partner.couple_with = partner, own
    own.save()
    partner.save()
    EnrolmentFactory(
        course=lessons[0].course, person=PersonFactory(name=f"Zoe {SURNAME}", is_minor=True), waiting=True
    )
    record = RecordFactory(lesson=lessons[1])
    Attendance.objects.create(record=record, person=pip, role="L")
    NotPaired.objects.create(person=Person.objects.get(pk=cast["student"]), other=pip)
    SignOff.objects.create(
        person=pip, figure_id=cast["figure"], role="L", day=dt.date(2026, 1, 14), signed_by=None
    )
    Requirement.objects.create(level_id=cast["level"], position=1, figure_id=cast["figure"])
    PhotoWord.objects.create(person=pip, agrees=False, said_on=dt.date(2026, 1, 6))
    LessonSession.objects.filter(pk=lessons[3].pk).update(kind="showcase")
    for lesson in lessons:
        visitor = PersonFactory(name=f"Tam {SURNAME}", is_minor=True)
        CatchUpFactory(lesson=lesson, missed=lessons[1], person=visitor, role="F", state="confirmed")
        HelperCallFactory(lesson=lesson, person=PersonFactory(name=f"Kit {SURNAME}", is_minor=True))
    HelperFactory(person__name=f"Ivo {SURNAME}", person__is_minor=True)
    teacher = cast["people"]["instructor"]
    private = PrivateLessonFactory(instructor=teacher, person=pip, start=dt.time(8))
    PrivateLessonFactory(instructor=teacher, person=pip, date=dt.date(2026, 1, 21), start=dt.time(9))
    CourseFactory(taught_by=[teacher])
    return cast | {"person": pip.pk, "private": private.pk, "pip": pip}


def pages(cast, who):
    client = client_of(cast, who)
    for name, entry in PATTERNS:
        if "<str:" in str(entry.pattern) and "token" not in WALK[name][1] and "secret" not in WALK[name][1]:
            continue
        answer = client.get(address(name, entry, cast))
        if answer.status_code == 200 and not answer.streaming:
            yield name, answer.content.decode(errors="ignore")


@pytest.mark.parametrize("who", ["anonymous", "student", "instructor"])
def test_nobody_but_the_director_reads_one(everywhere, who):
    read = dict(pages(everywhere, who))
    assert [name for name, text in read.items() if SURNAME in text] == []


def test_the_walk_meets_those_under_eighteen(everywhere):
    """Else it would find no surname for want of anybody."""
    read = dict(pages(everywhere, "instructor"))
    met = {name for name, text in read.items() if "Pip" in text}
    wanted = {
        "school:people",
        "school:person",
        "lessons:course",
        "lessons:lesson",
        "lessons:record",
        "lessons:partners",
        "lessons:sign-offs",
        "lessons:private-lessons",
        "lessons:private-lesson",
        "lessons:ready-school",
    }
    assert wanted - met == set()


def test_the_director_reads_it_on_their_own_pages_alone(everywhere):
    read = dict(pages(everywhere, "director"))
    assert {name for name, text in read.items() if SURNAME in text} <= OWN
    assert SURNAME in read["school:person"]


def test_two_of_one_first_name_are_told_apart_without_it(everywhere):
    twin = PersonFactory(name=f"Pip Another{SURNAME}", is_minor=True)
    lesson = LessonSession.objects.get(pk=everywhere["lesson"])
    EnrolmentFactory(course=lesson.course, person=twin, role="L")
    read = dict(pages(everywhere, "instructor"))
    for page in ("lessons:record", "lessons:partners"):
        assert "Pip 1" in read[page]
        assert "Pip 2" in read[page]
