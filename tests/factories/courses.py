"""Courses with their lessons, plans and records."""

import datetime as dt

import factory
from factory.django import DjangoModelFactory

from lessons.models import (
    Course,
    CourseInstructor,
    CourseLevel,
    Enrolment,
    LessonRecord,
    LessonSession,
    LessonShape,
    Meeting,
    PlanFigure,
    PlanIntroduction,
    PlanReview,
    RecordedFigure,
    ShapeSegment,
    TermPlan,
)
from tests.factories.curriculum import (
    FigureFactory,
    LevelFactory,
)
from tests.factories.school import (
    TERM_BEGINS,
    PersonFactory,
    RoomFactory,
    TermFactory,
)


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


def weekly_lessons(course, count, *, first=TERM_BEGINS + dt.timedelta(days=1), minutes=60, room=None):
    """`count` lessons of `course`, a week apart, in one room."""
    room = room or RoomFactory()
    return [
        LessonFactory(course=course, date=first + dt.timedelta(weeks=week), minutes=minutes, room=room)
        for week in range(count)
    ]


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
