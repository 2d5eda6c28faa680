"""What waits for the director: each a sentence and the one step that deals with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from django.db.models import Q
from django.urls import reverse

from curriculum.models import Dance, Level
from lessons.models import Course
from school.clock import now, today
from school.models import Invitation, Person, Room, Term


class NeedKind(Enum):
    """Needs of which a large school may have many. The value stands in the address that shows all of a kind;
    said of one and of several that are not shown."""

    AGAIN = "again", "plan made again waits for a word", "plans made again wait for a word"
    NOBODY = "nobody", "thing waits for an instructor", "things wait for an instructor"
    BOOKED = "booked", "double booking", "double bookings"
    PEOPLE = "people", "person waits", "people wait"
    UNPLANNED = "unplanned", "course has no published plan", "courses have no published plan"
    PLANS = "plans", "course has a plan that does not fit", "courses have plans that do not fit"
    NIGHTS = "nights", "routine cannot be danced on its night", "routines cannot be danced on their night"
    JOINS = "joins", "routine does not connect", "routines do not connect"
    RECORDS = "records", "lesson has no record yet", "lessons have no record yet"

    def __new__(cls, value: str, one: str, several: str) -> NeedKind:
        kind = object.__new__(cls)
        kind._value_ = value
        return kind

    def __init__(self, _: str, one: str, several: str) -> None:
        self.one, self.several = one, several


@dataclass(frozen=True)
class Need:
    """Something that waits for the director, one action away."""

    sentence: str
    action: str = ""
    link: str = ""


def and_more(kind: NeedKind, more: int) -> Need:
    """How many of a kind there are beside those shown, and the way to all of them."""
    words = kind.one if more == 1 else kind.several
    return Need(f"{more} more {words}.", "Show all", f"{reverse('lessons:home')}?all={kind.value}#needs")


def before_a_course() -> list[Need]:
    """What a school lacks before it can make a course, in the order in which it is made. Four queries."""
    needs = []
    if not Room.objects.exists():
        needs.append(Need("A course meets in a room.", "Add the first room", reverse("school:room-new")))
    if not Level.objects.exists():
        sentence = "A course teaches a level of a dance; its figures come in by spreadsheet."
        needs.append(Need(sentence, *_first_level()))
    if not Term.objects.filter(last_day__gte=today()).exists():
        sentence = "A course lies in a term, and none runs or is to come."
        needs.append(Need(sentence, "Begin a term", reverse("lessons:term-new")))
    return needs


def _first_level() -> tuple[str, str]:
    """The step to a school's first level: of the dance there is, or the dance itself. One query."""
    dance = Dance.objects.order_by("pk").first()
    if dance is None:
        return "Make the first dance", reverse("curriculum:dance-new")
    return "Make the first level", reverse("curriculum:level-new", args=[dance.pk])


def first_steps() -> list[Need]:
    """What a school does next whose courses are all over; nothing where one runs or comes, and where there
    has never been one (`lessons.today.beginning` says that). Six queries at most."""
    if Course.objects.filter(term__last_day__gte=today()).exists() or not Course.objects.exists():
        return []
    return before_a_course() or [
        Need("No course runs or is to come.", "Make a course", reverse("lessons:course-new"))
    ]


def people_waiting() -> Iterator[Need]:
    """Who asks to be erased, and whose invitation was not taken up in time. One query."""
    lapsed = Q(invitations__in=Invitation.objects.filter(used_at=None, withdrawn_at=None, ends_at__lte=now()))
    asked = Q(asked_to_be_erased__isnull=False)
    for person in Person.objects.filter(lapsed & Q(is_active=True) | asked).order_by("name", "pk"):
        if person.asked_to_be_erased:
            sentence, action, address = (
                f"{person} asks to be erased.",
                "Read what goes",
                "lessons:person-erase",
            )
        else:
            sentence = f"{person} has not taken up the invitation in time."
            action, address = "Invite again", "school:person"
        yield Need(sentence, action, reverse(address, args=[person.pk]))
