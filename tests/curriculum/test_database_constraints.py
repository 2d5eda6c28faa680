"""What must never be wrong in the curriculum is kept by the database itself, whoever writes."""

import pytest
from django.db import IntegrityError

from curriculum.models import (
    Dance,
    Figure,
    FigureName,
    FloorUse,
    HoldChange,
    Level,
    Passage,
    Prerequisite,
    Routine,
    RoutineItem,
)
from tests.factories import FigureFactory, HoldFactory, LevelFactory, PassageFactory, RoutineFactory

pytestmark = pytest.mark.django_db


def refused(name):
    """The database refuses, by the constraint of this name (PostgreSQL) or its columns (SQLite)."""
    return pytest.raises(IntegrityError, match=name)


def test_a_figure_that_needs_itself():
    fan = FigureFactory()
    with refused("figure_does_not_need_itself"):
        Prerequisite.objects.create(figure=fan, needs=fan)


def test_the_same_prerequisite_twice():
    fan, basic = FigureFactory(), FigureFactory()
    Prerequisite.objects.create(figure=fan, needs=basic)
    with refused("prerequisite"):
        Prerequisite.objects.create(figure=fan, needs=basic)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("fan", "fan"),
        ("fan", "Fan"),
        ("étoile", "ÉTOILE"),
        ("straße", "STRASSE"),
        ("ﬁgure", "figure"),
        ("open fan", "Open  fan"),
    ],
)
def test_two_figures_of_a_dance_with_one_name_whatever_its_case(first, second):
    level = LevelFactory()
    FigureFactory(level=level, name=first)
    other = FigureFactory(level=level, name="something else")
    with refused("figure_name_once_a_dance|dance_id.*key"):
        FigureName.objects.create(dance=level.dance, figure=other, name=second)


def test_a_figure_with_two_main_names():
    fan = FigureFactory()
    with refused("figure_has_one_main_name|figurename.figure_id"):
        FigureName.objects.create(dance=fan.dance, figure=fan, name="another", is_main=True)


def test_a_name_that_says_nothing():
    fan = FigureFactory()
    with refused("figure_name_says_something"):
        FigureName.objects.create(dance=fan.dance, figure=fan, name="  ")


def test_a_figure_that_takes_no_minute():
    level = LevelFactory()
    with refused("figure_takes_a_minute"):
        Figure.objects.create(dance=level.dance, level=level, name="blink", minutes_to_introduce=0)


def test_a_figure_without_length_in_beats():
    level = LevelFactory()
    with refused("figure_has_length"):
        Figure.objects.create(dance=level.dance, level=level, name="blink", minutes_to_introduce=5, ticks=0)


def test_a_figure_that_is_its_own_extension():
    fan = FigureFactory()
    with refused("figure_not_its_own_extension"):
        Figure.objects.filter(pk=fan.pk).update(extension=fan)


def test_a_figure_that_is_its_own_open_form():
    fan = FigureFactory()
    with refused("figure_not_its_own_open_form"):
        Figure.objects.filter(pk=fan.pk).update(open_form=fan)


def test_two_levels_on_one_rung():
    level = LevelFactory(rank=1, name="Beginners")
    with refused("level_rank_once_a_dance|level.*rank"):
        Level.objects.create(dance=level.dance, rank=1, name="Newcomers")


def test_a_floor_use_nobody_knows():
    with refused("dance_floor_use_known"):
        Dance.objects.create(name="moon walk", floor_use="air")


def test_a_bar_without_beats():
    with refused("dance_bar_has_beats"):
        Dance.objects.create(name="silence", beats_per_bar=0, floor_use=FloorUse.SPOT)


def test_a_hold_that_turns_into_itself():
    hold = HoldFactory()
    with refused("hold_changes_into_another"):
        HoldChange.objects.create(hold=hold, into=hold)


def test_a_passage_that_ends_outside_the_eight_directions():
    with refused("passage_place_known"):
        Passage.objects.create(figure=FigureFactory(), exit_place=8)


def test_a_corner_that_is_also_a_passage():
    routine = RoutineFactory()
    with refused("routine_item_is_passage_or_corner"):
        RoutineItem.objects.create(routine=routine, position=0, passage=PassageFactory(), is_corner=True)


def test_a_routine_that_continues_itself():
    routine = RoutineFactory()
    with refused("routine_does_not_continue_itself"):
        Routine.objects.filter(pk=routine.pk).update(continues=routine)
