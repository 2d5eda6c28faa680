"""Footprints on the floor: what should come back does, a mirror mirrors, couples stand in their hold.

Step lengths are the picture's own (common practice, no source), so nothing here asks for a length.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chart_couple import Hold
from curriculum.rules.couple_standing import standing_in
from curriculum.rules.footprints import HALF_STANCE, footprints, unit
from curriculum.rules.stance import Stance
from curriculum.rules.step_words import Manner, way_of
from curriculum.rules.steps import Step, other_foot

HOLDS = {
    "closed": Hold(4),
    "two-hand": Hold(4),
    "promenade": Hold(6),
    "counter promenade": Hold(2),
    "side by side, follower on the right": Hold(0),
    "side by side, follower on the left": Hold(0),
    "shadow": Hold(0, same_foot=True),
    "shadow, follower on the left": Hold(0, same_foot=True),
    "apart": Hold(None),
}
MIRRORED_HOLD = {
    "promenade": "counter promenade",
    "counter promenade": "promenade",
    "shadow": "shadow, follower on the left",
    "shadow, follower on the left": "shadow",
    "side by side, follower on the right": "side by side, follower on the left",
    "side by side, follower on the left": "side by side, follower on the right",
}
OPPOSITE_WAY = {"forward": "back", "back": "forward"}

BOX = "1 L step forward; 2 R step side; 3 L close; 4 R step back; 5 L step side; 6 R close"
TURNING_BOX = BOX.replace("R step side", "R step side -2").replace("L step side", "L step side -2")


def chart(text):
    """ "1 L step forward -2; 2 R close": count, foot, action, direction and turn of each row."""
    return [row(line.split()) for line in text.split(";")]


def row(words):
    turn = int(words.pop()) if words[-1].lstrip("-").isdecimal() and len(words) > 1 else 0
    count, *rest = words
    foot = rest.pop(0) if rest[0] in "LR" else None
    return Step(count, 12, foot, rest[0], " ".join(rest[1:]), turn)


def opposite(steps):
    """The follower's natural opposite: the other foot, forward against back, the same turn."""
    return [
        Step(
            step.count,
            step.ticks,
            step.foot and other_foot(step.foot),
            step.action,
            " ".join(OPPOSITE_WAY.get(word, word) for word in step.direction.split()),
            step.turn,
        )
        for step in steps
    ]


def danced(leader, follower=None, *, hold="closed", ends=None, place=None, floor="travels"):
    steps = chart(leader) if isinstance(leader, str) else leader
    followed = opposite(steps) if follower is None else follower
    leave = Stance(ends or hold, None, place)
    return footprints(steps, followed, entry=Stance(hold, None, place), exit=leave, holds=HOLDS, floor=floor)


def near(one, other):
    return abs(one - other) < 1e-9


def body(track):
    return complex(track.x, track.y)


def start(track):
    left, right = track.start
    return (left.place + right.place) / 2


# What comes back


def test_a_box_step_comes_back_to_where_it_began_with_both_feet():
    for track in (floor := danced(BOX)).leader, floor.follower:
        assert near(body(track), start(track))
        feet = {mark.foot: mark.place for mark in track.prints}
        assert all(near(feet[mark.foot], mark.place) for mark in track.start)


def test_a_box_step_is_a_square_with_the_forward_step_ahead_of_the_leader():
    prints = danced(BOX).leader.prints
    assert [(round(mark.x, 2), round(mark.y, 2)) for mark in prints] == [
        (-0.24, 1.5), (1.49, 1.5), (1.01, 1.5), (1.49, 0.0), (-0.24, 0.0), (0.24, 0.0),
    ]  # fmt: skip


def test_four_quarter_turns_of_a_box_come_back_to_the_same_facing_and_the_same_spot():
    for track in (floor := danced(f"{TURNING_BOX};{TURNING_BOX}")).leader, floor.follower:
        assert track.facing == track.start[0].direction
        assert near(body(track), start(track))


@given(turns=st.lists(st.integers(-4, 4), min_size=1, max_size=8))
def test_a_facing_is_the_start_and_all_turns(turns):
    steps = [
        Step("1", 12, foot, "step", "forward", turn) for foot, turn in zip("LR" * 4, turns, strict=False)
    ]
    assert danced(steps).leader.facing == sum(turns) % 8


def test_turning_on_one_foot_leaves_that_foot_where_it_is():
    first, second = danced("1 L step forward; 2 L pivot 4").leader.prints
    assert near(first.place, second.place)
    assert (first.direction, second.direction) == (0, 4)


# Feet


def test_a_closing_foot_stands_beside_the_other_a_foots_width_away():
    first, second = danced("1 L step forward; 2 R close").leader.prints
    assert near(second.place - first.place, 2 * HALF_STANCE)


def test_a_replaced_foot_comes_down_on_its_own_print():
    track = danced("1 L step forward; 2 R replace").leader
    assert near(track.prints[1].place, track.start[1].place)


def test_a_touch_leaves_no_weight_and_the_same_foot_steps_next():
    touch, step = danced("1 L step forward; 2 R touch beside; 3 R step back").leader.prints[1:]
    assert not touch.weight
    assert near(step.place, 0.24 + 0j)


def test_a_held_count_leaves_no_print_and_numbers_go_on():
    prints = danced("1 L step forward; 2 hold; 3 R close").leader.prints
    assert [(mark.number, mark.count, mark.row) for mark in prints] == [(1, "1", 0), (2, "3", 2)]


@pytest.mark.parametrize(("words", "ahead"), [("lock behind", False), ("cross in front", True)])
def test_a_crossing_foot_lands_past_the_other(words, ahead):
    first, second = danced(f"1 L step forward; 2 R {words}").leader.prints
    assert second.x < first.x
    assert (second.y > first.y) is ahead


@pytest.mark.parametrize(
    ("words", "manner"),
    [
        ("step in place", Manner.STAYS),
        ("step forward, in place", Manner.STAYS),
        ("step behind", Manner.HOOKS),
        ("touch", Manner.BESIDE),
        ("step forward, back on the slot", Manner.MOVES),
    ],
)
def test_the_charts_words_are_read(words, manner):
    assert way_of(chart(f"1 R {words}")[0]).manner is manner


def test_a_remark_after_the_comma_does_not_change_the_way():
    assert way_of(chart("1 L step forward, back on the slot")[0]).forward > 0


@pytest.mark.parametrize("floor", ["travels", "slot", "spot"])
def test_a_step_after_the_turn_goes_where_the_body_looks_by_then(floor):
    """The foot set first and then turned upon goes one way; turned first and then set, the other."""
    for words, ahead in (("step back", -1), ("step back after the turn", 1), ("step back, after you", -1)):
        track = danced(f"1 L {words} 4", chart(f"1 R {words} 4"), ends="apart", floor=floor).follower
        looked = unit(track.start[0].direction)
        assert ((body(track) - start(track)) * looked.conjugate()).real * ahead > 1


def test_small_steps_are_shorter_and_a_diagonal_is_no_longer_than_a_step_straight_on():
    plain, small, slanting = (
        way_of(chart(f"1 L step {words}")[0]) for words in ("forward", "forward, small", "forward and side")
    )
    assert small.forward < plain.forward
    assert abs(complex(slanting.forward, slanting.sideways)) <= plain.forward


def test_the_first_half_of_a_natural_turn_goes_down_the_line_of_dance_and_ends_backing_it():
    """Alignments: facing DW, side, backing LOD (IDTA Associate theory, as in the table of alignments)."""
    track = danced("1 R step forward; 2 L step side 2; 3 R close 1", place=1).leader
    assert track.facing == 4
    assert track.prints[0].x > 0
    assert track.y > 2
    assert track.y > 2 * abs(track.x)


def test_both_go_along_the_line_between_them_in_promenade():
    floor = danced(
        chart("1 R step forward and across"),
        chart("1 L step forward and across"),
        hold="promenade",
        place=1,
    )
    for track in (floor.leader, floor.follower):
        way = body(track) - start(track)
        assert way.imag > 1
        assert abs(way.real) < 0.5


# Couples

ROWS = st.tuples(
    st.sampled_from(
        ["step forward", "step back", "step side", "close", "cross behind", "touch side", "replace"]
    ),
    st.integers(-2, 2),
)


@st.composite
def sound_rows(draw):
    """Steps that alternate feet as a chart must, the touches without weight."""
    free, steps = "L", []
    for number, (words, turn) in enumerate(draw(st.lists(ROWS, min_size=1, max_size=10)), start=1):
        action, _, direction = words.partition(" ")
        step = Step(str(number), 12, free, action, direction, turn)
        steps.append(step)
        free = other_foot(free) if step.takes_weight else free
    return steps


def mirrored(steps):
    return [
        Step(step.count, step.ticks, other_foot(step.foot), step.action, step.direction, -step.turn)
        for step in steps
    ]


@given(leader=sound_rows(), follower=sound_rows(), hold=st.sampled_from(sorted(HOLDS)))
@pytest.mark.parametrize("floor", ["travels", "slot", "spot"])
def test_a_mirrored_chart_gives_a_mirrored_map(leader, follower, hold, floor):
    plain = danced(leader, follower, hold=hold, floor=floor)
    mirror = danced(mirrored(leader), mirrored(follower), hold=MIRRORED_HOLD.get(hold, hold), floor=floor)
    for track, reflected in ((plain.leader, mirror.leader), (plain.follower, mirror.follower)):
        for mark, image in zip(track.prints, reflected.prints, strict=True):
            assert near(image.place, complex(-mark.x, mark.y))
            assert image.direction == -mark.direction % 8
            assert image.foot == other_foot(mark.foot)


@pytest.mark.parametrize("hold", [name for name, hold in HOLDS.items() if hold.facing is not None])
def test_leader_and_follower_stand_as_the_hold_says_before_they_begin(hold):
    floor = danced(BOX, hold=hold)
    facing = HOLDS[hold].facing
    standing = standing_in(hold, facing)
    assert floor.follower.start[0].direction == facing
    assert near(start(floor.follower) - start(floor.leader), unit(standing.bearing) * standing.distance)


def test_face_to_face_the_follower_is_ahead_and_side_by_side_at_the_side_the_hold_names():
    assert standing_in("closed", 4).bearing == 0
    assert standing_in("side by side, follower on the left", 0).bearing < 0
    assert standing_in("side by side, follower on the right", 0).bearing > 0


TURNS = [
    (
        "1 R step forward; 2 L step side 2; 3 R close 1; 4 L step back; 5 R step side 3; 6 L close",
        "1 L step back; 2 R step side 3; 3 L close; 4 R step forward; 5 L step side 2; 6 R close 1",
    ),
    ("1 L step back; 2 R step side 2; 3 L close", "1 R step forward; 2 L step side 1; 3 R close 1"),
]


@pytest.mark.parametrize(("leader", "follower"), TURNS, ids=["natural turn", "its second half"])
def test_a_sound_chart_ends_with_the_couple_in_its_hold(leader, follower):
    floor = danced(chart(leader), chart(follower), place=1)
    apart = body(floor.follower) - body(floor.leader)
    standing = standing_in("closed", 4)
    assert abs(apart - unit(floor.leader.facing) * standing.distance) < 0.5


@given(leader=sound_rows())
def test_the_couple_ends_nearer_to_its_hold_than_the_bare_steps_would_bring_it(leader):
    """A free end asks for nothing, so the steps stand as they are; a hold can only bring the two together."""
    wanted = standing_in("closed", 4)

    def short(ends):
        floor = danced(leader, hold="closed", ends=ends, floor="spot")
        goal = body(floor.leader) + unit(floor.leader.facing) * wanted.distance
        return abs(goal - body(floor.follower))

    assert short("closed") <= short("apart") + 1e-9


def test_on_a_slot_the_follower_walks_straight_and_the_leader_comes_back_to_it():
    """The left side pass: half a turn to the left for both, the follower past the leader down the slot."""
    floor = danced(
        chart(
            "1 L step back -1; 2 R step side -1; 3 L step in place -1; 4 R step in place; 5 L step forward -1"
        ),
        chart(
            "1 R step forward; 2 L step forward; 3 R step forward -2; 4 L cross in front; 5 R step back -2"
        ),
        hold="two-hand",
        floor="slot",
    )
    assert abs(floor.leader.x) < 1e-9
    assert floor.leader.facing == 0
    assert start(floor.follower).imag < start(floor.leader).imag
    assert floor.follower.y > floor.leader.y
    assert all(abs(mark.x) < 1.2 for mark in floor.follower.prints)
    assert abs(floor.follower.x) < 0.2
