"""Rows that a source prints and that cannot be right: the chart check finds each of them.

Source: an encyclopedia article on the double reverse spin of the waltz, as read; what it should be is
computed. Directions and turns in eighths, right positive.
"""

import pytest

from curriculum.rules.alignment import facing, turned
from curriculum.rules.chart import Hold, Step, check_chart
from curriculum.rules.stance import Stance

HOLDS = {"closed": Hold(4)}

# role, start, turns as printed, printed end, turns that would lead there
PRINTED = [
    ("leader", "facing LOD", [-3, -5], "facing DW", -7),
    ("follower", "facing LOD", [-3], "backing W", -2),
]


def spin(leader_turns, follower_turns):
    """The feet are of no account here; both roles step as often as the longer row of turns has entries."""
    length = max(len(leader_turns), len(follower_turns))

    def steps(feet, turns):
        padded = [*turns, *[0] * (length - len(turns))]
        return [
            Step(str(number + 1), 12, feet[number % 2], "step", "", turn)
            for number, turn in enumerate(padded)
        ]

    return steps("LR", leader_turns), steps("RL", follower_turns)


def findings(start, end, leader_turns, follower_turns):
    """Both roles in closed hold; start and end are the leader's directions."""
    leader, follower = spin(leader_turns, follower_turns)
    return check_chart(
        leader,
        follower,
        beats=len(leader),
        entry=Stance("closed", "L", start),
        exit=Stance("closed", None, end),
        rhythm=None,
        holds=HOLDS,
    )


@pytest.mark.parametrize(("role", "start", "turns", "end", "right_turn"), PRINTED)
def test_the_printed_turns_do_not_lead_to_the_printed_end(role, start, turns, end, right_turn):
    assert turned(facing(start), sum(turns)) != facing(end)
    assert turned(facing(start), right_turn) == facing(end)


def test_the_whole_spin_is_found_by_its_alignment():
    _, start, turns, end, right_turn = PRINTED[0]
    (finding,) = findings(facing(start), facing(end), turns, turns)
    assert finding.kind == "alignment"
    assert finding.sentence == "Leader: from facing LOD the turns lead to facing LOD, not DW."
    assert finding.mend == "Turn an eighth further to the right, or end facing LOD."
    assert findings(facing(start), facing(end), [right_turn], [right_turn]) == ()


def test_the_followers_third_step_is_found_by_where_the_partners_face():
    """The follower's printed directions are the leader's turned round, as they are in closed hold."""
    _, start, turns, end, right_turn = PRINTED[1]
    leader_start, leader_end = turned(facing(start), 4), turned(facing(end), 4)
    (finding,) = findings(leader_start, leader_end, [right_turn], turns)
    assert finding.kind == "facing"
    assert finding.mend.startswith("Turn the follower an eighth further to the right")
    assert findings(leader_start, leader_end, [right_turn], [right_turn]) == ()
