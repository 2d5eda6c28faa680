"""What somebody asks for, is called for, or is given: to catch up, to cover, to help, alone; addresses."""

import datetime as dt

import factory
from factory.django import DjangoModelFactory

from lessons.models import (
    CalendarAddress,
    CatchUp,
    CoverLink,
    Helper,
    HelperCall,
    PrivateFigure,
    PrivateLesson,
    WallAddress,
)
from school.secrets_shown_once import hashed
from tests.factories.courses import (
    LessonFactory,
)
from tests.factories.school import (
    TERM_BEGINS,
    PersonFactory,
)


class CatchUpFactory(DjangoModelFactory):
    """Somebody asks to come to `lesson`."""

    class Meta:
        model = CatchUp

    lesson = factory.SubFactory(LessonFactory)
    missed = factory.SubFactory(LessonFactory)
    person = factory.SubFactory(PersonFactory, roles=["student"])
    role = "F"
    asked_at = dt.datetime(2026, 1, 5, 12, tzinfo=dt.UTC)


class CoverLinkFactory(DjangoModelFactory):
    """A link that is open until the morning after its lesson; `secret` opens it."""

    class Meta:
        model = CoverLink

    class Params:
        secret = factory.Sequence(lambda n: f"secret {n}")

    lesson = factory.SubFactory(LessonFactory)
    secret_hash = factory.LazyAttribute(lambda link: hashed(link.secret))
    made_at = dt.datetime(2026, 1, 5, 12, tzinfo=dt.UTC)


class HelperFactory(DjangoModelFactory):
    """Can be called, in all dances and either role."""

    class Meta:
        model = Helper

    person = factory.SubFactory(PersonFactory)
    role = "B"


class HelperCallFactory(DjangoModelFactory):
    class Meta:
        model = HelperCall

    person = factory.SubFactory(PersonFactory)
    role = "L"
    called_at = dt.datetime(2026, 1, 5, 12, tzinfo=dt.UTC)


class PrivateLessonFactory(DjangoModelFactory):
    """`worked_on={figure: "introduced", ...}` says what became of each; "" for not yet."""

    class Meta:
        model = PrivateLesson
        skip_postgeneration_save = True

    person = factory.SubFactory(PersonFactory, roles=["student"])
    instructor = factory.SubFactory(PersonFactory, roles=["instructor"])
    role = "F"
    date = TERM_BEGINS + dt.timedelta(days=2)
    start = dt.time(17, 0)
    minutes = 45

    @factory.post_generation
    def worked_on(self, create, extracted, **kwargs):
        for figure, outcome in (extracted or {}).items():
            PrivateFigure.objects.create(lesson=self, figure=figure, outcome=outcome)


def calendar_address(secret, person=None):
    """Makes the address of a calendar that `secret` opens; gives the secret."""
    CalendarAddress.objects.create(
        person=person or PersonFactory(),
        secret_hash=hashed(secret),
        made_at=dt.datetime(2026, 1, 5, tzinfo=dt.UTC),
    )
    return secret


def wall_address(course, secret, *, ends_with_term=True):
    """An address for the course's wall that `secret` opens."""
    return WallAddress.objects.create(
        course=course,
        secret_hash=hashed(secret),
        ends_with_term=ends_with_term,
        made_at=dt.datetime(2026, 1, 5, tzinfo=dt.UTC),
    )
