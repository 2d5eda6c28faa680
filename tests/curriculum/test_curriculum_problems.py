"""The curriculum's rows as the functional core reads them."""

from fractions import Fraction

import pytest

from curriculum.models import HoldChange
from curriculum.problems import (
    floor_of,
    join_from_below,
    passage_of,
    passages_of,
    routine_items,
    routine_report,
)
from curriculum.rules.chain import CORNER, Passage, Stance
from tests.factories import (
    DanceFactory,
    FigureFactory,
    HoldFactory,
    LevelFactory,
    PassageFactory,
    RoutineFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def level():
    return LevelFactory(rank=1, dance=DanceFactory(beats_per_bar=3, floor_use="travels"))


@pytest.fixture
def closed(level):
    return HoldFactory(dance=level.dance, name="closed")


@pytest.fixture
def promenade(level):
    return HoldFactory(dance=level.dance, name="promenade", facing=6)


def passage(level, name, *, ticks=36, **ways):
    return PassageFactory(figure=FigureFactory(level=level, name=name, ticks=ticks), **ways)


def test_a_passage_speaks_in_names_and_leaves_open_what_is_empty(level, closed, promenade):
    whisk = passage(
        level, "whisk", entry_hold=closed, entry_foot="L", entry_place=1, exit_hold=promenade, exit_place=1
    )
    assert passage_of(whisk) == Passage(
        "whisk", Stance("closed", "L", 1), Stance("promenade", None, 1), Fraction(3)
    )


def test_the_place_at_the_end_of_the_slot_nearest_nought_is_a_place(level):
    assert passage_of(passage(level, "pass", entry_place=0)).entry == Stance(None, None, 0)


def test_a_passage_of_its_own_length_is_not_as_long_as_its_figure(level):
    assert passage_of(passage(level, "natural turn", ticks=72)).beats == 6
    half = PassageFactory(figure=FigureFactory(level=level, ticks=72), ticks=36)
    assert passage_of(half).beats == 3


def test_free_changes_go_by_the_names_of_holds(level, closed, promenade):
    HoldChange.objects.create(hold=promenade, into=closed)
    floor = floor_of(level.dance)
    assert floor.frees("promenade", "closed")
    assert not floor.frees("closed", "promenade")


def test_a_routine_is_its_passages_and_corners_in_order(level):
    first, second = passage(level, "first"), passage(level, "second")
    routine = RoutineFactory(level=level, dances=[first, None, second])
    assert routine_items(routine) == (passage_of(first), CORNER, passage_of(second))


def test_a_routine_s_report_counts_bars_of_its_dance(level, closed):
    ways = {"entry_hold": closed, "exit_hold": closed}
    routine = RoutineFactory(level=level, dances=[passage(level, name, **ways) for name in ("one", "two")])
    report = routine_report(routine, taught=frozenset({"one"}))
    assert (report.beats, report.bars, report.danceable) == (6, 2, 1)


def test_a_routine_goes_on_from_the_one_below(level, closed, promenade):
    below = RoutineFactory(level=level, dances=[passage(level, "whisk", exit_hold=promenade), None])
    upper = LevelFactory(dance=level.dance, rank=2)
    chasse = passage(upper, "chasse", entry_hold=promenade)
    lock = passage(upper, "lock", entry_hold=closed)
    assert (
        join_from_below(RoutineFactory(level=upper, name="a", continues=below, dances=[chasse])).status
        == "holds"
    )
    assert (
        join_from_below(RoutineFactory(level=upper, name="b", continues=below, dances=[lock])).status
        == "broken"
    )
    assert join_from_below(RoutineFactory(level=upper, name="c", dances=[lock])) is None
    assert join_from_below(RoutineFactory(level=upper, name="d", continues=below)) is None


@pytest.mark.parametrize("figures", [2, 12])
def test_reading_costs_the_same_for_any_number_of_figures(level, closed, figures, django_assert_num_queries):
    ways = {"entry_hold": closed, "exit_hold": closed}
    rows = [passage(level, f"figure number {number}", **ways) for number in range(figures)]
    routine = RoutineFactory(level=level, dances=rows)
    with django_assert_num_queries(2):
        routine_report(routine, taught=frozenset())
    with django_assert_num_queries(1):
        assert len(passages_of(level.dance)) == figures
