"""Step charts by the body's rules: what is right passes, each mistake is found at its row with its mend."""

from dataclasses import replace
from fractions import Fraction

import pytest

from curriculum.rules.chart import (
    Place,
    Step,
    beats_of,
    exit_alignment,
    free_foot_after,
    free_foot_before,
    net_turn,
)
from curriculum.rules.stance import Stance
from tests.curriculum.charted import (
    CHA_CHA_BASIC,
    CHASSE,
    FIGURES,
    HESITATION,
    LEFT_SIDE_PASS,
    NATURAL_TURN,
    OTHER,
    REVERSE_TURN,
    RIGHT_CHANGE,
    SUGAR_TUCK,
    WHISK,
    changed,
)


@pytest.mark.parametrize("figure", FIGURES.values(), ids=FIGURES)
def test_a_sound_chart_has_no_findings(figure):
    assert figure.check() == ()


class TestFeet:
    def test_two_changes_of_weight_on_one_foot(self):
        finding = next(iter(RIGHT_CHANGE.with_leader(1, foot="R")))
        assert (finding.kind, finding.place) == ("two on one foot", Place("leader", 1))
        assert finding.sentence == "Leader, row 2 (count 2): the right foot takes weight again, after row 1."
        assert finding.mend == "Step with the left foot, or leave one of the two without weight."

    def test_beginning_with_the_foot_that_is_not_free(self):
        finding = RIGHT_CHANGE.check(entry=Stance("closed", "L", 7))[0]
        assert (finding.kind, finding.place) == ("two on one foot", Place("leader", 0))
        assert finding.sentence == (
            "Leader, row 1 (count 1): begins with the right foot, but the left foot is the free one."
        )

    def test_the_follower_begins_with_the_opposite_foot(self):
        follower = [replace(step, foot="R" if step.foot == "L" else "L") for step in RIGHT_CHANGE.follower]
        kinds = [(finding.kind, finding.place) for finding in RIGHT_CHANGE.check(follower=follower)]
        assert kinds == [("two on one foot", Place("follower", 0)), ("out of step", Place())]

    def test_in_a_hold_for_the_same_foot_the_follower_may_begin_with_either(self):
        shadow = {"entry": Stance("shadow", "R", 7), "exit": Stance("shadow", "L", 7)}
        assert RIGHT_CHANGE.check(**shadow) == ()
        assert RIGHT_CHANGE.check(follower=RIGHT_CHANGE.leader, **shadow) == ()

    def test_a_touch_with_the_standing_foot(self):
        finding = HESITATION.only(leader=changed(HESITATION.leader, 5, foot="R"))
        assert (finding.kind, finding.place) == ("standing foot", Place("leader", 5))
        assert finding.sentence == (
            "Leader, row 6 (count 3): a touch with the right foot, which carries the weight."
        )
        assert finding.mend == "Touch with the left foot."

    @pytest.mark.parametrize("action", ["touch", "tap", "point", "kick", "flick", "brush"])
    def test_these_leave_the_weight_where_it_is(self, action):
        assert HESITATION.with_leader(5, action=action) == ()

    @pytest.mark.parametrize("action", ["step", "close", "cross", "replace", "lock", "pivot", "hop"])
    def test_these_change_it(self, action):
        findings = HESITATION.with_leader(5, action=action)
        assert [finding.kind for finding in findings] == ["free foot", "out of step"]

    @pytest.mark.parametrize("action", ["pivot", "hop"])
    def test_a_pivot_or_a_hop_may_be_on_the_standing_foot(self, action):
        assert HESITATION.with_leader(5, action=action, foot="R") == ()

    def test_a_held_count_needs_no_foot(self):
        assert HESITATION.with_leader(5, action="hold", foot=None) == ()

    def test_a_held_count_may_name_the_foot_one_stands_on(self):
        assert HESITATION.with_leader(5, action="hold", foot="R") == ()

    def test_a_step_without_a_foot(self):
        finding = RIGHT_CHANGE.with_leader(1, foot=None)[0]
        assert (finding.kind, finding.place) == ("foot", Place("leader", 1))

    def test_a_foot_nobody_has(self):
        finding, *others = RIGHT_CHANGE.with_leader(1, foot="M")
        assert finding.kind == "foot"
        assert all(other.place.row != 1 for other in others)
        assert "L or R, not “M”" in finding.sentence

    def test_an_action_nobody_knows(self):
        finding = RIGHT_CHANGE.with_leader(1, action="wobble")[0]
        assert finding.kind == "action"
        assert "“wobble” is no action" in finding.sentence

    def test_one_wrong_foot_is_found_once(self):
        """What follows is judged by where the weight then is, so a slip does not condemn the whole chart."""
        findings = [
            finding for finding in NATURAL_TURN.with_leader(2, foot="L") if finding.place.row is not None
        ]
        assert [finding.place.row for finding in findings] == [2, 3]


class TestLengths:
    def test_counts_that_do_not_add_up(self):
        findings = CHA_CHA_BASIC.with_leader(3, ticks=12)
        finding = next(finding for finding in findings if finding.kind == "length")
        assert finding.place == Place("leader")
        assert finding.sentence == "Leader: the counts last 8 1/2 beats, the figure has 8 beats."
        assert finding.mend == "Take 1/2 beat away."

    def test_counts_that_add_up_but_are_not_those_of_the_rhythm(self):
        wrong = [12, 12, 12, 6, 6, 12, 12, 6, 6, 12]
        leader = [replace(step, ticks=ticks) for step, ticks in zip(CHA_CHA_BASIC.leader, wrong, strict=True)]
        findings = CHA_CHA_BASIC.check(leader=leader)
        assert [(finding.kind, finding.place.row) for finding in findings] == [("ticks", 2), ("ticks", 4)]
        assert findings[0].sentence == "Leader, row 3 (count 4): lasts 1 beat, in the rhythm 1/2 beat."
        assert findings[0].mend == "Make it 6 ticks."

    def test_a_count_the_rhythm_does_not_have(self):
        finding = CHASSE.only(leader=changed(CHASSE.leader, 2, count="a"))
        assert (finding.kind, finding.place) == ("count", Place("leader", 2))
        assert finding.mend == "Call it &."

    def test_a_count_too_many_is_found_where_it_is(self):
        extra = Step("&", 6, "L", "touch", "")
        leader = [*RIGHT_CHANGE.leader[:1], extra, *RIGHT_CHANGE.leader[1:]]
        findings = RIGHT_CHANGE.check(leader=leader)
        assert [(finding.kind, finding.place.row) for finding in findings] == [("length", None), ("count", 1)]

    def test_a_count_too_few_is_named(self):
        follower = CHA_CHA_BASIC.follower[:8] + CHA_CHA_BASIC.follower[9:]
        findings = [f for f in CHA_CHA_BASIC.check(follower=follower) if f.kind == "count"]
        assert [finding.sentence for finding in findings] == [
            "Follower, after row 8: the rhythm's count & is missing."
        ]
        assert findings[0].mend == "Add & with 6 ticks; it may be a held count."

    def test_a_count_without_length(self):
        without_rhythm = RIGHT_CHANGE.check(leader=changed(RIGHT_CHANGE.leader, 0, ticks=0), rhythm=None)
        assert [finding.kind for finding in without_rhythm] == ["ticks", "length"]
        hasty = RIGHT_CHANGE.check(leader=changed(RIGHT_CHANGE.leader, 0, ticks=1), rhythm=None)
        assert [finding.kind for finding in hasty] == ["length"]

    def test_a_rhythm_that_is_not_as_long_as_the_figure(self):
        kinds = [finding.kind for finding in RIGHT_CHANGE.check(beats=6)]
        assert kinds == ["length", "length", "length"]

    def test_without_a_rhythm_only_the_sum_is_compared(self):
        assert RIGHT_CHANGE.check(rhythm=None) == ()

    def test_no_chart_at_all_is_too_short(self):
        found = {finding.kind for finding in RIGHT_CHANGE.check(leader=[], follower=[])}
        assert found == {"length", "count", "free foot"}


class TestTheCouple:
    def test_weight_for_one_role_where_the_other_touches(self):
        findings = HESITATION.check(follower=changed(HESITATION.follower, 5, action="close"))
        assert [finding.kind for finding in findings] == ["out of step"]
        assert findings[0].sentence == "Both end with the left foot free, but closed wants opposite feet."

    def test_the_roles_need_not_change_weight_equally_often(self):
        changes = [
            sum(step.takes_weight for step in chart) for chart in (SUGAR_TUCK.leader, SUGAR_TUCK.follower)
        ]
        assert changes == [8, 6]

    def test_six_against_seven_changes_end_on_the_same_foot(self):
        leader = changed(changed(SUGAR_TUCK.leader, 2, action="touch"), 3, action="hold", foot=None)
        follower = changed(SUGAR_TUCK.follower, 2, action="step")
        seven = follower[:3] + [replace(step, foot=OTHER[step.foot]) for step in follower[3:]]
        finding = SUGAR_TUCK.only(leader=leader, follower=seven)
        assert finding.kind == "out of step"

    def test_turns_that_do_not_bring_the_partners_together(self):
        finding = NATURAL_TURN.only(follower=changed(NATURAL_TURN.follower, 5, turn=0))
        assert finding.kind == "facing"
        assert finding.sentence == "The turns leave the partners an eighth off the way they face in closed."
        assert finding.mend == (
            "Turn the follower an eighth further to the right, or the leader an eighth further to the left."
        )

    def test_a_whole_turn_changes_nothing(self):
        assert NATURAL_TURN.check(follower=changed(NATURAL_TURN.follower, 5, turn=9)) == ()

    def test_where_the_partners_are_apart_they_may_face_anywhere(self):
        follower = changed(RIGHT_CHANGE.follower, 2, turn=3)
        leader = changed(RIGHT_CHANGE.leader, 2, hold="apart")
        assert RIGHT_CHANGE.check(leader=leader, follower=follower, exit=Stance("apart", "L", 7)) == ()

    def test_a_free_foot_that_does_not_follow(self):
        finding = RIGHT_CHANGE.only(exit=Stance("closed", "R", 7))
        assert (finding.kind, finding.place) == ("free foot", Place("leader"))
        assert finding.sentence == "Leader: the left foot is free at the end, not the right."

    def test_an_exit_with_either_foot_is_not_checked(self):
        assert RIGHT_CHANGE.check(exit=Stance("closed", None, 7)) == ()

    def test_an_entry_with_either_foot_takes_it_from_the_chart(self):
        assert RIGHT_CHANGE.check(entry=Stance("closed", None, 7)) == ()
        kinds = {f.kind for f in RIGHT_CHANGE.check(entry=Stance("closed"), follower=RIGHT_CHANGE.leader)}
        assert kinds == {"two on one foot", "out of step"}

    def test_in_a_hold_that_is_left_open_nothing_is_known_of_the_feet(self):
        same_feet = RIGHT_CHANGE.check(
            follower=RIGHT_CHANGE.leader, entry=Stance(None, "R", 7), exit=Stance(None, "L", 7)
        )
        assert same_feet == ()

    def test_an_alignment_that_does_not_follow(self):
        finding = NATURAL_TURN.only(exit=Stance("closed", "R", 0))
        assert (finding.kind, finding.place) == ("alignment", Place("leader"))
        assert finding.sentence == "Leader: from facing DW the turns lead to facing DC, not LOD."
        assert finding.mend == "Turn an eighth further to the right, or end facing DC."

    def test_a_couple_that_stays_must_not_have_turned(self):
        finding = NATURAL_TURN.only(exit=Stance("closed", "R"))
        assert finding.kind == "alignment"

    def test_where_the_place_is_open_the_turn_is_free(self):
        assert NATURAL_TURN.check(entry=Stance("closed", "R"), exit=Stance("closed", "R")) == ()


class TestTheSlot:
    def test_half_a_turn_changes_ends(self):
        assert LEFT_SIDE_PASS.check(slot=True) == ()
        finding = LEFT_SIDE_PASS.only(slot=True, exit=Stance("left-to-right", "L", 0))
        assert finding.sentence == "Leader: the turns bring the follower to end 1 of the slot, not 0."

    def test_without_a_turn_nobody_changes_ends(self):
        finding = SUGAR_TUCK.only(slot=True, exit=Stance("left-to-right", "L", 1))
        assert finding.sentence == "Leader: the turns bring the follower to end 0 of the slot, not 1."

    def test_half_a_turn_between_other_places_than_the_ends_is_no_change_of_ends(self):
        far = {"entry": Stance("left-to-right", "L", 1), "exit": Stance("left-to-right", "L", 7)}
        assert LEFT_SIDE_PASS.only(**far).kind == "alignment"

    def test_in_a_room_half_a_turn_is_no_eighth(self):
        assert LEFT_SIDE_PASS.only(slot=False).kind == "alignment"

    def test_a_turn_that_leaves_the_slot(self):
        leader = changed(LEFT_SIDE_PASS.leader, 0, turn=0)
        follower = changed(LEFT_SIDE_PASS.follower, 4, turn=-1)
        finding = LEFT_SIDE_PASS.only(leader=leader, follower=follower, slot=True)
        assert finding.sentence == "Leader: the turns do not end along the slot."

    def test_in_a_hold_side_by_side_the_turn_does_not_tell_the_end(self):
        stances = {"entry": Stance("side by side", "R", 0), "exit": Stance("side by side", "L", 1)}
        assert RIGHT_CHANGE.check(slot=True, **stances) == ()


class TestHolds:
    def test_a_change_that_no_one_leads(self):
        finding = WHISK.only(leader=changed(WHISK.leader, 2, hold=None))
        assert (finding.kind, finding.place) == ("hold change", Place("leader"))
        assert finding.sentence == (
            "Leader: no one leads the change to promenade, in which the figure ends; "
            "the chart ends in closed."
        )

    def test_a_change_only_the_follower_makes(self):
        leader = changed(WHISK.leader, 2, hold=None)
        follower = changed(WHISK.follower, 2, hold="promenade")
        findings = WHISK.check(leader=leader, follower=follower)
        assert [finding.place for finding in findings] == [Place("follower", 2), Place("leader")]

    def test_the_follower_may_repeat_what_is_led(self):
        assert WHISK.check(follower=changed(WHISK.follower, 2, hold="promenade")) == ()

    def test_the_hands_must_be_back_where_the_figure_ends(self):
        finding = SUGAR_TUCK.only(leader=changed(SUGAR_TUCK.leader, 5, hold=None))
        assert finding.sentence.endswith("the chart ends in apart.")

    def test_a_hold_the_dance_does_not_have(self):
        finding = SUGAR_TUCK.only(leader=changed(SUGAR_TUCK.leader, 1, hold="bear hug"))
        assert (finding.kind, finding.place) == ("hold", Place("leader", 1))
        strange = {finding.kind for finding in RIGHT_CHANGE.check(entry=Stance("bear hug", "R", 7))}
        assert strange == {"hold", "hold change"}


class TestWhatFollowsFromAChart:
    def test_the_free_foot(self):
        assert free_foot_after(NATURAL_TURN.leader) == "R"
        assert free_foot_after(RIGHT_CHANGE.leader) == "L"
        assert free_foot_after(HESITATION.leader) == "L"
        assert free_foot_after(HESITATION.follower) == "R"

    def test_without_a_change_of_weight_it_stays_the_one_it_was(self):
        assert free_foot_after([], "L") == "L"
        assert free_foot_after([Step("1", 12, None, "hold", "")], "R") == "R"
        assert free_foot_after([]) is None

    def test_a_touch_tells_which_foot_is_free(self):
        assert free_foot_before([Step("1", 12, "L", "touch", "")]) == "L"
        assert free_foot_after([Step("1", 12, "L", "touch", "")]) == "L"

    def test_a_hop_does_not_tell_which_foot_was_free(self):
        hop = Step("1", 12, "L", "hop", "")
        assert free_foot_before([hop]) is None
        assert free_foot_after([hop]) == "R"

    def test_turn_alignment_and_beats(self):
        assert net_turn(NATURAL_TURN.leader) == 6
        assert net_turn(REVERSE_TURN.leader) == -6
        assert exit_alignment(1, NATURAL_TURN.leader) == 7
        assert beats_of(CHASSE.leader) == 3
        assert beats_of(CHASSE.leader[:2]) == Fraction(3, 2)
