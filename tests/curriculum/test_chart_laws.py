"""What holds of all charts: sound ones that join stay sound, a mirror changes nothing, one foot is free."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chart import (
    Step,
    check_chart,
    free_foot_after,
)
from curriculum.rules.stance import Stance
from tests.curriculum.charted import (
    CHASSE,
    HESITATION,
    HOLDS,
    NATURAL_TURN,
    OTHER,
    REVERSE_TURN,
    RIGHT_CHANGE,
    WHISK,
)

FOLLOWS = [
    (NATURAL_TURN, RIGHT_CHANGE),
    (RIGHT_CHANGE, REVERSE_TURN),
    (REVERSE_TURN, WHISK),
    (WHISK, CHASSE),
    (CHASSE, NATURAL_TURN),
    (CHASSE, HESITATION),
    (HESITATION, REVERSE_TURN),
]


@pytest.mark.parametrize(("first", "second"), FOLLOWS)
def test_two_sound_figures_that_join_make_a_sound_chart(first, second):
    assert first.exit == second.entry
    findings = check_chart(
        first.leader + second.leader,
        first.follower + second.follower,
        beats=first.beats + second.beats,
        entry=first.entry,
        exit=second.exit,
        rhythm=first.rhythm + second.rhythm,
        holds=HOLDS,
    )
    assert findings == ()


def test_two_figures_that_do_not_join_make_no_sound_chart():
    findings = check_chart(
        RIGHT_CHANGE.leader + NATURAL_TURN.leader,
        RIGHT_CHANGE.follower + NATURAL_TURN.follower,
        beats=9,
        entry=RIGHT_CHANGE.entry,
        exit=NATURAL_TURN.exit,
        rhythm=RIGHT_CHANGE.rhythm + NATURAL_TURN.rhythm,
        holds=HOLDS,
    )
    assert {"two on one foot", "alignment"} <= {finding.kind for finding in findings}


STEPS = st.builds(
    Step,
    st.sampled_from(["1", "2", "&", "3"]),
    st.sampled_from([6, 12]),
    st.sampled_from(["L", "R", None]),
    st.sampled_from(["step", "close", "touch", "pivot", "hold"]),
    st.just(""),
    st.integers(-4, 4),
    st.none() | st.sampled_from(list(HOLDS)),
)
CHARTS = st.lists(STEPS, max_size=6)
STANCES = st.builds(
    Stance,
    st.none() | st.sampled_from(list(HOLDS)),
    st.none() | st.sampled_from("LR"),
    st.none() | st.integers(0, 7),
)


def mirror(steps):
    return [replace(step, foot=OTHER[step.foot], turn=-step.turn) for step in steps]


def mirror_stance(stance):
    return Stance(stance.hold, OTHER[stance.foot], None if stance.place is None else -stance.place % 8)


@given(CHARTS, CHARTS, STANCES, STANCES)
def test_a_chart_and_its_mirror_have_the_same_findings(leader, follower, entry, exit_):
    rhythm = [("1", 12), ("2", 6), ("&", 6), ("3", 12)]
    mirrored_holds = {
        key: replace(hold, facing=None if hold.facing is None else -hold.facing % 8)
        for key, hold in HOLDS.items()
    }
    seen = check_chart(
        leader, follower, beats=3, entry=entry, exit=exit_, rhythm=rhythm, holds=HOLDS, slot=False
    )
    in_the_mirror = check_chart(
        mirror(leader),
        mirror(follower),
        beats=3,
        entry=mirror_stance(entry),
        exit=mirror_stance(exit_),
        rhythm=rhythm,
        holds=mirrored_holds,
        slot=False,
    )
    assert [(f.kind, f.place) for f in seen] == [(f.kind, f.place) for f in in_the_mirror]


@given(CHARTS, st.sampled_from("LR"))
def test_the_free_foot_is_that_after_the_last_change_of_weight(steps, before):
    weighted = [step.foot for step in steps if step.takes_weight]
    assert free_foot_after(steps, before) == (OTHER[weighted[-1]] if weighted else before)
