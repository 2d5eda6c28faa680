"""Which dances, figures and routines a person may reach. Staff read all of it; a student the levels that are
open to them. What is not open is not there: 404.

Which levels are open to whom is known by enrolments, and those live in an app that imports this one. So
that app registers a function in `level_readers` when it is made ready.
"""

from __future__ import annotations

from collections.abc import Callable

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from curriculum.models import Dance, Figure, Level, Routine, StepChart
from school.models import Person

LevelReader = Callable[[Person], frozenset[int]]
"""A person -> keys of the levels they may read."""

level_readers: list[LevelReader] = []


def levels_for(user: Person) -> QuerySet[Level]:
    """The levels `user` may read, of every dance, from the lowest up. Asks the readers once a person."""
    levels = Level.objects.order_by("dance", "rank")
    if user.is_director or user.is_instructor:
        return levels
    if "_open_levels" not in user.__dict__:
        user.__dict__["_open_levels"] = frozenset[int]().union(*(reader(user) for reader in level_readers))
    return levels.filter(pk__in=user.__dict__["_open_levels"])


def get_dance_for(user: Person, pk: int) -> Dance:
    """The dance; raises Http404 where none of its levels is open to the reader."""
    if not (user.is_director or user.is_instructor) and not levels_for(user).filter(dance=pk).exists():
        raise Http404("no such dance")
    return get_object_or_404(Dance, pk=pk)


def get_figure_for(user: Person, pk: int) -> Figure:
    """The figure with its dance and level; raises Http404 where its level is not open to the reader."""
    figures = Figure.objects.select_related(
        "dance", "level", "extension__level", "easier_form__level", "open_form__level"
    )
    return get_object_or_404(figures, pk=pk, level__in=levels_for(user))


def get_routine_for(user: Person, pk: int) -> Routine:
    """The routine with its level and dance; raises Http404 where its level is not open to the reader."""
    routines = Routine.objects.select_related("level__dance", "continues__level__dance")
    return get_object_or_404(routines, pk=pk, level__in=levels_for(user))


def get_chart_for(user: Person, pk: int) -> StepChart:
    """The chart; raises Http404 where the level of its figure is not open to the reader."""
    return get_object_or_404(StepChart, pk=pk, figure__level__in=levels_for(user))
