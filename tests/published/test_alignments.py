"""Published alignments of the waltz: start and turns lead to the printed end, by arithmetic and by chart.

Sources: encyclopedia articles on the natural turn, the change step, the whisk, the chasse, the impetus, the
telemark and the double reverse spin; IDTA Associate theory; A. Moore, Ballroom Dancing, 10th edition; a
published step description of the hesitation change. Rows marked "from memory" are common technique.
Directions and turns are in eighths, right positive.
"""

import pytest

from curriculum.rules.alignment import DIRECTIONS, facing, shortest_turn, turned
from curriculum.rules.chart import Hold, Step, check_chart, exit_alignment, free_foot_after
from curriculum.rules.stance import Stance
from curriculum.rules.steps import other_foot

# figure, steps, role, start, turns in the order danced, end, first foot, source
TABLE = [
    ("natural turn", "1-3", "leader", "facing DW", "2 1", "backing LOD", "R", "article on the natural turn"),
    ("natural turn", "4-6", "leader", "backing LOD", "3", "facing DC", "L", "same article; Moore"),
    ("natural turn", "1-3", "follower", "backing DW", "3", "facing LOD", "L", "article on the natural turn"),
    ("natural turn", "4-6", "follower", "facing LOD", "3", "backing DC", "R", "from memory"),
    (
        "right foot closed change",
        "1-3",
        "leader",
        "facing DC",
        "0",
        "facing DC",
        "R",
        "article on the change step",
    ),
    ("left foot closed change", "1-3", "leader", "facing DW", "0", "facing DW", "L", "IDTA Associate theory"),
    ("whisk", "1-3", "leader", "facing DW", "0", "facing DW", "L", "article on the whisk"),
    ("whisk", "1-3", "follower", "backing DW", "2", "facing DC", "R", "article on the whisk"),
    ("chasse from promenade", "1-4", "leader", "facing DW", "0", "facing DW", "R", "article on the chasse"),
    (
        "chasse from promenade",
        "1-4",
        "follower",
        "facing DC",
        "-1 -1",
        "backing DW",
        "L",
        "article on the chasse",
    ),
    (
        "progressive chasse to right",
        "1-4",
        "leader",
        "facing DC",
        "-1 -1",
        "backing DW",
        "L",
        "article on the chasse",
    ),
    (
        "hesitation change",
        "4-6",
        "leader",
        "backing LOD",
        "3",
        "facing DC",
        "L",
        "published step description",
    ),
    (
        "hesitation change",
        "4-6",
        "follower",
        "facing LOD",
        "3",
        "backing DC",
        "R",
        "published step description",
    ),
    ("closed impetus", "1-3", "leader", "backing LOD", "3 2", "backing DCA", "L", "article on the impetus"),
    ("closed impetus", "1-3", "follower", "facing LOD", "3 2", "backing DW", "R", "article on the impetus"),
    ("open telemark", "1-3", "leader", "facing DC", "-2 -4", "facing DW", "L", "article on the telemark"),
    (
        "double reverse spin",
        "1-2",
        "leader",
        "facing LOD",
        "-3",
        "backing DW",
        "L",
        "article on the double reverse spin",
    ),
    ("outside change", "1-3", "leader", "backing DC", "-2", "facing DW", "L", "from memory"),
]
ROWS = {" ".join(row[:3]): row for row in TABLE}

# hold in which the couple begins and ends; what the sources give for both roles
COUPLES = [
    ("natural turn", "1-3", "closed", "closed"),
    ("natural turn", "4-6", "closed", "closed"),
    ("whisk", "1-3", "closed", "promenade"),
    ("chasse from promenade", "1-4", "promenade", "closed"),
    ("hesitation change", "4-6", "closed", "closed"),
    ("closed impetus", "1-3", "closed", "closed"),
]
HOLDS = {"closed": Hold(4), "promenade": Hold(6)}
RHYTHMS = {
    "1-2": [("1", 12), ("2", 12)],
    "1-3": [("1", 12), ("2", 12), ("3", 12)],
    "1-4": [("1", 12), ("2", 6), ("&", 6), ("3", 12)],
    "4-6": [("4", 12), ("5", 12), ("6", 12)],
}


def chart(figure, part, role, hold=None):
    """The row as a chart: feet alternate from the first, the turns fall on the last steps.

    Which step a turn falls on is not what is compared here. The hesitation change ends without weight.
    """
    *_, turns, _, foot, _ = ROWS[f"{figure} {part} {role}"]
    turn = [int(number) for number in turns.split()]
    turn = [0] * (len(RHYTHMS[part]) - len(turn)) + turn
    steps = []
    for (count, ticks), eighths in zip(RHYTHMS[part], turn, strict=True):
        steps.append(Step(count, ticks, foot, "step", "", eighths))
        foot = other_foot(foot)
    last = steps.pop()
    action = "touch" if figure == "hesitation change" else "step"
    return [*steps, Step(last.count, last.ticks, last.foot, action, "", last.turn, hold)]


@pytest.mark.parametrize("row", TABLE, ids=ROWS)
def test_start_and_turns_lead_to_the_printed_end(row):
    figure, part, role, start, turns, end, _, source = row
    total = sum(int(number) for number in turns.split())
    assert turned(facing(start), total) == facing(end), source
    assert exit_alignment(facing(start), chart(figure, part, role)) == facing(end), source


@pytest.mark.parametrize(("figure", "part", "before", "after"), COUPLES)
def test_both_roles_together_pass_every_check(figure, part, before, after):
    leader = chart(figure, part, "leader", hold=after if after != before else None)
    _, _, _, start, _, end, foot, _ = ROWS[f"{figure} {part} leader"]
    findings = check_chart(
        leader,
        chart(figure, part, "follower"),
        beats=3,
        entry=Stance(before, foot, facing(start)),
        exit=Stance(after, free_foot_after(leader), facing(end)),
        rhythm=RHYTHMS[part],
        holds=HOLDS,
        slot=False,
    )
    assert findings == ()


@pytest.mark.parametrize(("figure", "part", "before", "after"), COUPLES)
def test_the_partners_face_as_their_hold_says_at_both_ends(figure, part, before, after):
    _, _, _, leader_start, _, leader_end, _, _ = ROWS[f"{figure} {part} leader"]
    _, _, _, follower_start, _, follower_end, _, _ = ROWS[f"{figure} {part} follower"]
    assert turned(facing(leader_start), HOLDS[before].facing) == facing(follower_start)
    assert turned(facing(leader_end), HOLDS[after].facing) == facing(follower_end)


@pytest.mark.parametrize("number", range(8))
def test_facing_and_backing_are_half_a_turn_apart(number):
    assert facing(f"facing {DIRECTIONS[number]}") == number
    assert facing(f"backing {DIRECTIONS[number]}") == turned(number, 4)


@pytest.mark.parametrize(("end", "turn"), [(0, 0), (1, 1), (4, 4), (5, -3), (7, -1)])
def test_the_shortest_way_round_goes_to_the_nearer_side_and_half_way_to_the_right(end, turn):
    assert shortest_turn(0, end) == turn


@pytest.mark.parametrize("written", ["DW", "looking DW", "facing", "facing north"])
def test_an_alignment_that_is_none_is_refused(written):
    with pytest.raises(ValueError, match=r"neither facing nor backing|no direction"):
        facing(written)
