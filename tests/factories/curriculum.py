"""Dances, levels, holds, figures, routines and pieces of music."""

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
