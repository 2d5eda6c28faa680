"""Where a chart leads is derived: the free foot always, the place where the turn tells it."""

import pytest

from curriculum.rules.chart_couple import Hold
from curriculum.rules.chart_exit import exit_of
from curriculum.rules.stance import Stance
from curriculum.rules.steps import Step

HOLDS = {"closed": Hold(4), "wrap": Hold(0), "apart": Hold(None)}


def turning(*turns):
    return [Step("1", 12, "LR"[place % 2], "step", "", turn) for place, turn in enumerate(turns)]


def led(leader, entry, hold="closed", *, slot=False):
    return exit_of(leader, entry=entry, hold=hold, holds=HOLDS, slot=slot)


def test_the_free_foot_follows_from_the_last_change_of_weight():
    assert led(turning(0, 0, 0), Stance("closed", "L")).foot == "R"
    assert led([Step("1", 12, None, "hold", "")], Stance("closed", "L")).foot == "L"
    assert led([Step("1", 12, None, "hold", "")], Stance("closed")).foot is None


@pytest.mark.parametrize(("turns", "place"), [((), 1), ((3, 3), 7), ((-2, -1), 6), ((8,), 1)])
def test_in_a_room_the_leader_s_turn_leads_from_place_to_place(turns, place):
    assert led(turning(*turns), Stance("closed", "L", 1)).place == place


def test_from_an_open_place_no_place_follows():
    assert led(turning(2), Stance("closed", "L")).place is None


@pytest.mark.parametrize(("turns", "end"), [((), 0), ((4,), 1), ((-4,), 1), ((4, 4), 0), ((12,), 1)])
def test_on_a_slot_half_a_turn_of_the_leader_changes_ends(turns, end):
    assert led(turning(*turns), Stance("closed", "L", 0), slot=True).place == end


@pytest.mark.parametrize(
    ("turns", "before", "after"),
    [((2,), "closed", "closed"), ((4,), "closed", "wrap"), ((4,), "apart", "closed"), ((4,), None, "closed")],
    ids=["ends across the slot", "ends in a wrap", "begins free", "begins in any hold"],
)
def test_on_a_slot_the_turn_alone_may_not_tell(turns, before, after):
    assert led(turning(*turns), Stance(before, "L", 0), after, slot=True).place is None
