"""The follower's chart begun from the leader's: what is opposite, what is kept, and how near it comes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chart_couple import Hold
from curriculum.rules.opposite import natural_opposite
from curriculum.rules.steps import ACTIONS, Step
from lessons.demo.load import DANCES
from lessons.demo.read import read, stance_of, step_of

HOLDS = {
    "closed": Hold(4),
    "promenade": Hold(6),
    "side by side": Hold(0),
    "fan": Hold(2),
    "shadow": Hold(0, same_foot=True),
    "apart": Hold(None),
}


def step(foot="L", action="step", direction="forward", turn=0, hold=None):
    return Step("1", 12, foot, action, direction, turn, hold)


def opposite(*steps, entry="closed", of="leader"):
    return natural_opposite(steps, entry=entry, holds=HOLDS, of=of)


@pytest.mark.parametrize(
    ("leaders", "followers"),
    [
        ("forward", "back"),
        ("back and slightly side", "forward and slightly side"),
        ("side", "side"),
        ("diagonally forward, small", "diagonally back, small"),
        ("in place", "in place"),
        ("", ""),
    ],
)
def test_face_to_face_forward_answers_back_and_the_side_stays(leaders, followers):
    assert opposite(step(direction=leaders))[0].direction == followers


def test_the_other_foot_answers_and_a_held_count_has_none():
    assert [row.foot for row in opposite(step("L"), step("R"), step(None, "hold"))] == ["R", "L", None]


def test_what_the_leader_hears_is_not_what_the_follower_hears_but_counts_and_actions_are_the_same():
    row = Step("&", 6, "L", "lock", "behind", 0, None, "small")
    assert natural_opposite([row], entry="closed", holds=HOLDS) == (Step("&", 6, "R", "lock", "in front"),)


@pytest.mark.parametrize("entry", ["side by side", "promenade", "fan"])
def test_who_looks_the_same_way_or_along_one_line_goes_the_same_way(entry):
    assert opposite(step(), entry=entry)[0].direction == "forward"


def test_in_shadow_both_begin_on_the_same_foot():
    assert opposite(step("L"), step("R"), entry="shadow") == (step("L"), step("R"))


def test_a_couple_turns_to_the_same_side_as_long_as_it_faces_as_before():
    assert [row.turn for row in opposite(step(turn=3), step(turn=-2))] == [3, -2]


def test_opening_to_side_by_side_one_turns_right_and_the_other_left():
    rows = opposite(step(turn=2, hold="side by side"), step(direction="side", turn=-2, hold="closed"))
    assert [(row.turn, row.direction) for row in rows] == [(-2, "forward"), (2, "side")]


def test_closing_from_promenade_the_follower_makes_up_the_quarter():
    assert opposite(step(turn=-1, hold="closed"), entry="promenade")[0].turn == -3


def test_a_free_hold_is_taken_like_the_one_before_it():
    assert opposite(step(turn=2, hold="apart"))[0] == step("R", direction="back", turn=2, hold="apart")


words = st.sampled_from(
    ["", "forward", "back", "side", "side and slightly back", "forward and across", "behind", "in front"]
)
rows = st.builds(
    Step,
    count=st.sampled_from(["1", "2", "&", "S"]),
    ticks=st.integers(1, 24),
    foot=st.sampled_from(["L", "R", None]),
    action=st.sampled_from(sorted(ACTIONS)),
    direction=words,
    turn=st.integers(-12, 12),
    hold=st.sampled_from([None, *HOLDS]),
)


@given(st.lists(rows, max_size=8), st.sampled_from([None, *HOLDS]))
def test_the_opposite_of_the_opposite_is_the_same(steps, entry):
    followers = natural_opposite(steps, entry=entry, holds=HOLDS)
    assert natural_opposite(followers, entry=entry, holds=HOLDS, of="follower") == tuple(steps)


def demo_charts():
    for name in DANCES:
        dance = read(name)
        holds = {row["key"]: Hold(row.get("facing"), row.get("same_foot", False)) for row in dance["hold"]}
        begins = {
            (figure["name"], way["chart"]): stance_of(way["from"]).hold
            for figure in dance["figure"]
            for way in figure.get("passages", ())
            if "chart" in way
        }
        for chart in read(f"charts_{name}")["chart"]:
            yield chart["rows"], begins.get((chart["figure"], chart["name"])), holds


def roles(chart):
    for role, turn in ((2, 3), (4, 5)):
        steps = [(row, *step_of(row[role])) for row in chart]
        yield [
            Step(row[0], row[1], foot or None, action, direction, row[turn], row[6] or None)
            for row, foot, action, direction in steps
        ]


def test_the_demo_schools_followers_start_close():
    """A started chart saves much of the typing: nearly every foot and more than half of the rows are right
    already. What is left differs by figure, as the follower goes round the outside of a turn."""
    total = feet = whole = 0
    for chart, entry, holds in demo_charts():
        leader, follower = roles(chart)
        started = natural_opposite(leader, entry=entry, holds=holds)
        total += len(follower)
        feet += sum(one.foot == other.foot for one, other in zip(started, follower, strict=True))
        whole += sum(one == other for one, other in zip(started, follower, strict=True))
    assert total > 200
    assert feet / total > 0.99
    assert whole / total > 0.5
