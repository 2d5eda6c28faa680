"""Rows for tests, each with only what its kind must have. A test names what matters to it."""

import datetime as dt

import factory
from factory.django import DjangoModelFactory

from curriculum.models import (
    Dance,
    Figure,
    FigureName,
    Hold,
    Level,
    Passage,
    Piece,
    Prerequisite,
    Routine,
    RoutineItem,
)
from lessons.models import (
    CalendarAddress,
    CatchUp,
    Course,
    CourseInstructor,
    CourseLevel,
    CoverLink,
    Enrolment,
    Helper,
    HelperCall,
    LessonRecord,
    LessonSession,
    LessonShape,
    Meeting,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    PrivateFigure,
    PrivateLesson,
    RecordedFigure,
    ShapeSegment,
    TermPlan,
    WallAddress,
)
from school.models import Closure, Person, PersonRole, Room, School, Term
from school.secrets_shown_once import hashed

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


class DanceFactory(DjangoModelFactory):
    class Meta:
        model = Dance

    name = factory.Sequence(lambda n: f"dance {n}")
    beats_per_bar = 4


class LevelFactory(DjangoModelFactory):
    class Meta:
        model = Level

    dance = factory.SubFactory(DanceFactory)
    rank = factory.Sequence(lambda n: n + 1)
    name = factory.LazyAttribute(lambda level: f"Level {level.rank}")


class HoldFactory(DjangoModelFactory):
    class Meta:
        model = Hold

    dance = factory.SubFactory(DanceFactory)
    key = factory.Sequence(lambda n: f"H{n}")
    name = factory.LazyAttribute(lambda hold: f"hold {hold.key}")
    facing = 4


class FigureFactory(DjangoModelFactory):
    """A figure with its main name in FigureName, on a level of its own dance."""

    class Meta:
        model = Figure
        skip_postgeneration_save = True

    level = factory.SubFactory(LevelFactory)
    dance = factory.SelfAttribute("level.dance")
    name = factory.Sequence(lambda n: f"figure {n}")
    order = factory.Sequence(lambda n: n * 10)
    ticks = 48
    minutes_to_introduce = 12
    minutes_to_review = 4

    @factory.post_generation
    def named(self, create, extracted, **kwargs):
        FigureName.objects.create(dance=self.dance, figure=self, name=self.name, is_main=True)

    @factory.post_generation
    def needs(self, create, extracted, **kwargs):
        for needed in extracted or []:
            Prerequisite.objects.create(figure=self, needs=needed)


class PassageFactory(DjangoModelFactory):
    class Meta:
        model = Passage

    figure = factory.SubFactory(FigureFactory)
    position = factory.Sequence(lambda n: n)


class RoutineFactory(DjangoModelFactory):
    """`dances=[passage, None, ...]` fills it; None is a corner."""

    class Meta:
        model = Routine
        skip_postgeneration_save = True

    level = factory.SubFactory(LevelFactory)
    name = "the routine"

    @factory.post_generation
    def dances(self, create, extracted, **kwargs):
        for position, passage in enumerate(extracted or []):
            RoutineItem.objects.create(
                routine=self, position=position * 10, passage=passage, is_corner=passage is None
            )


class PieceFactory(DjangoModelFactory):
    """Two minutes in 4/4 at 30 bars a minute, without an intro."""

    class Meta:
        model = Piece

    dance = factory.SubFactory(DanceFactory)
    title = factory.Sequence(lambda n: f"piece {n}")
    beats_per_minute = 120
    seconds = 120


class LessonShapeFactory(DjangoModelFactory):
    """The usual hour: its ideals make sixty minutes."""

    class Meta:
        model = LessonShape
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"shape {n}")

    @factory.post_generation
    def segments(self, create, extracted, **kwargs):
        hour = [
            ("arrive", 2, 3, 5),
            ("warm_up", 4, 5, 8),
            ("recap", 5, 8, 12),
            ("review", 0, 6, 15),
            ("new", 10, 18, 28),
            ("routine", 5, 9, 15),
            ("practice", 4, 8, 15),
            ("close", 2, 3, 4),
        ]
        for position, (kind, least, ideal, most) in enumerate(extracted or hour):
            ShapeSegment.objects.create(
                shape=self, position=position, kind=kind, least=least, ideal=ideal, most=most
            )


class CourseFactory(DjangoModelFactory):
    """`level=...` puts it on that level; `taught_by=[...]` names instructors; it has no lessons yet."""

    class Meta:
        model = Course
        skip_postgeneration_save = True

    level = factory.SubFactory(LevelFactory)
    term = factory.SubFactory(TermFactory)
    key = factory.Sequence(lambda n: f"C{n}")
    name = factory.LazyAttribute(lambda course: f"Course {course.key}")
    dance = factory.SelfAttribute("level.dance")
    shape = factory.SubFactory(LessonShapeFactory)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        level = kwargs.pop("level")
        course = super()._create(model_class, *args, **kwargs)
        CourseLevel.objects.create(course=course, level=level)
        return course

    @factory.post_generation
    def taught_by(self, create, extracted, **kwargs):
        for person in extracted or []:
            CourseInstructor.objects.create(course=self, person=person)


class MeetingFactory(DjangoModelFactory):
    class Meta:
        model = Meeting

    course = factory.SubFactory(CourseFactory)
    weekday = 1
    start = dt.time(19, 30)
    room = factory.SubFactory(RoomFactory)


class EnrolmentFactory(DjangoModelFactory):
    class Meta:
        model = Enrolment

    course = factory.SubFactory(CourseFactory)
    person = factory.SubFactory(PersonFactory, roles=["student"])
    role = "L"
    joined = TERM_BEGINS


class LessonFactory(DjangoModelFactory):
    """Lessons follow each other week by week when made in a batch for one course."""

    class Meta:
        model = LessonSession

    course = factory.SubFactory(CourseFactory)
    date = TERM_BEGINS + dt.timedelta(days=1)
    first_date = factory.SelfAttribute("date")
    start = dt.time(19, 30)
    minutes = 60
    room = factory.SubFactory(RoomFactory)


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
    token_hash = factory.LazyAttribute(lambda link: hashed(link.secret))
    made_at = dt.datetime(2026, 1, 5, 12, tzinfo=dt.UTC)


class PlanFactory(DjangoModelFactory):
    class Meta:
        model = TermPlan

    course = factory.SubFactory(CourseFactory)


class PlanFigureFactory(DjangoModelFactory):
    """`new_in=lesson` introduces it there; `again_in=[lesson, ...]` reviews it."""

    class Meta:
        model = PlanFigure
        skip_postgeneration_save = True

    plan = factory.SubFactory(PlanFactory)
    figure = factory.SubFactory(FigureFactory)

    @factory.post_generation
    def new_in(self, create, extracted, **kwargs):
        if extracted:
            PlanIntroduction.objects.create(plan_figure=self, lesson=extracted)

    @factory.post_generation
    def again_in(self, create, extracted, **kwargs):
        for lesson in extracted or []:
            PlanReview.objects.create(plan_figure=self, lesson=lesson, due=lesson)


class RecordFactory(DjangoModelFactory):
    """`taught={figure: "introduced", ...}` says what happened."""

    class Meta:
        model = LessonRecord
        skip_postgeneration_save = True

    lesson = factory.SubFactory(LessonFactory)

    @factory.post_generation
    def taught(self, create, extracted, **kwargs):
        for figure, outcome in (extracted or {}).items():
            RecordedFigure.objects.create(record=self, figure=figure, outcome=outcome)


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


def weekly_lessons(course, count, *, first=TERM_BEGINS + dt.timedelta(days=1), minutes=60, room=None):
    """`count` lessons of `course`, a week apart, in one room."""
    room = room or RoomFactory()
    return [
        LessonFactory(course=course, date=first + dt.timedelta(weeks=week), minutes=minutes, room=room)
        for week in range(count)
    ]
