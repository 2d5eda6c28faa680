"""Which dances, figures and routines a person may reach. Staff read all of it; a student the levels that are
open to them. What is not open is not there: 404.

Which levels are open to whom is known by enrolments, and those live in an app that imports this one. So
that app registers a function in `level_readers` when it is made ready.
"""

from __future__ import annotations

from collections.abc import Callable

from django.db.models import Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from curriculum.models import Dance, Figure, Level, Routine, StepChart
from school.models import Person

LevelReader = Callable[[Person], frozenset[int]]
"""A person -> keys of the levels they may read."""

level_readers: list[LevelReader] = []


def open_levels(user: Person) -> frozenset[int] | None:
    """Keys of the levels `user` may read; None for all of them. Asks the readers once a person."""
    if user.is_director or user.is_instructor:
        return None
    if "_open_levels" not in user.__dict__:
        user.__dict__["_open_levels"] = frozenset[int]().union(*(reader(user) for reader in level_readers))
    opened: frozenset[int] = user.__dict__["_open_levels"]
    return opened


def on_open_level(user: Person, level: str = "level") -> Q:
    """What holds of rows whose `level` (a path to it) is open to the reader; of all rows for staff."""
    opened = open_levels(user)
    return Q() if opened is None else Q(**{f"{level}__in": opened})


def levels_for(user: Person) -> QuerySet[Level]:
    """The levels `user` may read, of every dance, from the lowest up."""
    return Level.objects.filter(on_open_level(user, "pk")).order_by("dance", "rank")


def get_dance_for(user: Person, pk: int) -> Dance:
    """The dance; raises Http404 where none of its levels is open to the reader."""
    if not (user.is_director or user.is_instructor) and not levels_for(user).filter(dance=pk).exists():
        raise Http404("no such dance")
    return get_object_or_404(Dance, pk=pk)


def get_figure_for(user: Person, pk: int) -> Figure:
    """The figure with its dance and level; raises Http404 where its level is not open to the reader."""
    figures = Figure.objects.select_related("dance", "level")
    return get_object_or_404(figures, on_open_level(user), pk=pk)


def get_routine_for(user: Person, pk: int) -> Routine:
    """The routine with its level and dance; raises Http404 where its level is not open to the reader."""
    routines = Routine.objects.select_related("level__dance", "continues__level__dance")
    return get_object_or_404(routines, on_open_level(user), pk=pk)


def get_chart_for(user: Person, pk: int) -> StepChart:
    """The chart; raises Http404 where the level of its figure is not open to the reader."""
    return get_object_or_404(StepChart, on_open_level(user, "figure__level"), pk=pk)
