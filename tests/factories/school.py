"""People, rooms, terms and days without class."""

import datetime as dt

import factory
from factory.django import DjangoModelFactory

from school.models import Closure, Person, PersonRole, Room, School, Term

TERM_BEGINS = dt.date(2026, 1, 5)


class SchoolFactory(DjangoModelFactory):
    class Meta:
        model = School

    name = "Testing Hall"
    time_zone = "Europe/London"


class PersonFactory(DjangoModelFactory):
    """`roles=["director"]` gives roles; `password="..."` lets them sign in."""

    class Meta:
        model = Person
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    name = factory.Sequence(lambda n: f"Person Number{n}")

    @factory.post_generation
    def roles(self, create, extracted, **kwargs):
        for role in extracted or []:
            PersonRole.objects.create(person=self, role=role)

    @factory.post_generation
    def sign_in_with(self, create, extracted, **kwargs):
        if extracted:
            self.set_password(extracted)
            self.save()


class RoomFactory(DjangoModelFactory):
    class Meta:
        model = Room

    name = factory.Sequence(lambda n: f"Room {n}")


class TermFactory(DjangoModelFactory):
    """Twelve weeks from Monday 5 January 2026."""

    class Meta:
        model = Term

    name = factory.Sequence(lambda n: f"Term {n}")
    first_day = TERM_BEGINS
    last_day = TERM_BEGINS + dt.timedelta(days=12 * 7 - 1)


class ClosureFactory(DjangoModelFactory):
    class Meta:
        model = Closure

    first_day = TERM_BEGINS + dt.timedelta(weeks=5)
    last_day = factory.LazyAttribute(lambda closure: closure.first_day)
    reason = "hall hired out"
