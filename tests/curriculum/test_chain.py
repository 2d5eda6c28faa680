"""When one figure leads into the next, and what a whole routine comes to."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chain import (
    CORNER,
    UNKNOWN,
    Floor,
    Passage,
    Stance,
    Words,
    check_routine,
    join_between,
    joins,
    round_the_corner,
    stance_after,
    stances_along,
)

NO_CHANGES = Floor({})
LATIN = Floor({"closed": {"two-hand"}, "two-hand": {"closed", "apart"}, "apart": {"two-hand"}})


def passage(figure, start, end, beats=3, give=0):
    """A passage from "hold foot place" written as a teacher would, "-" for what is left open."""
    return Passage(figure, stance(start), stance(end), beats, give)


def stance(written):
    hold, foot, place = written.split()
    return Stance(
        None if hold == "-" else hold,
        None if foot == "-" else foot,
        None if place == "-" else int(place),
    )


NATURAL = passage("natural turn", "closed R 1", "closed R 7", 6)
RIGHT_CHANGE = passage("right foot closed change", "closed R 7", "closed L 7")
REVERSE = passage("reverse turn", "closed L 7", "closed L 1", 6)
LEFT_CHANGE = passage("left foot closed change", "closed L 1", "closed R 1")
WHISK = passage("whisk", "closed L 1", "promenade R 1")
CHASSE = passage("chasse from promenade", "promenade R 1", "closed R 1")
BOX = passage("box step", "closed L -", "closed L -", 6)
LOOP = (NATURAL, RIGHT_CHANGE, REVERSE, LEFT_CHANGE)


def report_of(*routine, taught=None, floor=NO_CHANGES, bar_beats=3, **more):
    everything = {item.figure for item in routine if item is not CORNER}
    return check_routine(
        routine, floor=floor, taught=everything if taught is None else taught, bar_beats=bar_beats, **more
    )


def only_join(*routine, floor=NO_CHANGES, words=None):
    (join,) = report_of(*routine, floor=floor, **({"words": words} if words else {})).joins
    return join


class TestAJoin:
    def test_holds_where_hold_foot_and_place_agree(self):
        join = only_join(NATURAL, RIGHT_CHANGE)
        assert (join.status, join.reason) == ("holds", "")

    def test_is_broken_where_the_hold_differs(self):
        join = only_join(WHISK, NATURAL)
        assert join.status == "broken"
        assert join.reason == "whisk leaves you in promenade, natural turn starts closed"

    def test_is_broken_where_the_other_foot_is_free(self):
        join = only_join(RIGHT_CHANGE, passage("natural turn", "closed R 7", "closed R 5", 6))
        assert join.status == "broken"
        assert join.reason == (
            "right foot closed change leaves you with the leader's left foot free, "
            "natural turn starts with the leader's right foot"
        )

    def test_is_broken_where_the_couple_faces_elsewhere(self):
        join = only_join(NATURAL, NATURAL)
        assert join.status == "broken"
        assert join.reason == "natural turn leaves you facing DC, natural turn starts facing DW"

    def test_names_everything_that_differs_and_nothing_else(self):
        join = only_join(passage("a", "x L 0", "x L 0"), passage("b", "y R 4", "y R 4"))
        assert join.reason == (
            "a leaves you in x, with the leader's left foot free, facing LOD; "
            "b starts in y, with the leader's right foot, facing ALOD"
        )

    def test_on_a_slot_speaks_of_its_ends(self):
        side_pass = passage("left side pass", "open L 0", "open L 1", 6)
        join = only_join(side_pass, side_pass, words=Words(slot=True))
        assert join.status == "broken"
        assert join.reason == (
            "left side pass leaves you with the follower at end 1 of the slot, "
            "left side pass starts with the follower at end 0 of the slot"
        )

    def test_is_said_with_the_names_of_figures_and_holds(self):
        words = Words(figures={"7": "fan", "8": "time step"}, holds={"FN": "fan", "2H": "two-hand"})
        join = only_join(passage("7", "2H L -", "FN L -"), passage("8", "2H L -", "2H L -"), words=words)
        assert join.reason == "fan leaves you in fan, time step starts in two-hand hold"


class TestAFreeChange:
    def test_carries_the_couple_into_another_hold(self):
        join = only_join(
            passage("basic", "closed L -", "closed L -"),
            passage("New York", "two-hand L -", "two-hand R -"),
            floor=LATIN,
        )
        assert (join.status, join.reason) == ("free change", "change from closed to two-hand first")

    def test_is_one_step_and_never_chained(self):
        join = only_join(
            passage("basic", "closed L -", "closed L -"),
            passage("chase", "apart L -", "apart L -"),
            floor=LATIN,
        )
        assert join.status == "broken"

    def test_works_one_way_only_unless_the_other_way_is_listed(self):
        one_way = Floor({"closed": {"two-hand"}})
        assert joins(Stance("closed"), Stance("two-hand"), floor=one_way)
        assert not joins(Stance("two-hand"), Stance("closed"), floor=one_way)

    def test_changes_neither_foot_nor_place(self):
        before = Stance("closed", "L", 0)
        assert join_between(before, Stance("two-hand", "L", 0), floor=LATIN).status == "free change"
        assert join_between(before, Stance("two-hand", "R", 0), floor=LATIN).status == "broken"
        assert join_between(before, Stance("two-hand", "L", 1), floor=LATIN).status == "broken"

    def test_is_not_needed_for_the_hold_itself(self):
        assert join_between(Stance("fan"), Stance("fan"), floor=NO_CHANGES).status == "holds"


class TestGive:
    TURNED_ROUND = passage("hesitation", "closed R 1", "closed L 6", 3, give=1)

    def test_lets_a_figure_end_an_eighth_further_round(self):
        join = only_join(self.TURNED_ROUND, REVERSE)
        assert join.status == "give"
        assert join.reason == "end hesitation facing DC instead of C, an eighth further to the right"

    def test_works_to_either_side_and_across_the_line_of_dance(self):
        assert joins(Stance("closed", "L", 0), Stance("closed", "L", 7), floor=NO_CHANGES, give=1)
        assert joins(Stance("closed", "L", 7), Stance("closed", "L", 0), floor=NO_CHANGES, give=1)

    def test_goes_no_further_than_the_figure_allows(self):
        assert not joins(Stance("closed", "L", 5), Stance("closed", "L", 7), floor=NO_CHANGES, give=1)
        assert joins(Stance("closed", "L", 5), Stance("closed", "L", 7), floor=NO_CHANGES, give=2)

    def test_belongs_to_the_figure_before_the_join(self):
        stiff = passage("hesitation", "closed R 1", "closed L 6")
        loose_reverse = passage("reverse turn", "closed L 7", "closed L 1", 6, give=1)
        assert only_join(stiff, loose_reverse).status == "broken"

    def test_still_works_round_a_corner(self):
        into_line = passage("left foot closed change", "closed L 0", "closed R 0")
        (join,) = report_of(
            passage("whisk back", "closed L 1", "closed L 5", 3, give=1), CORNER, into_line
        ).joins
        assert join.status == "give"

    def test_together_with_a_change_of_hold_is_called_a_free_change_and_says_both(self):
        join = join_between(
            Stance("closed", "L", 6), Stance("two-hand", "L", 7), floor=LATIN, give=1, figures=("aida", "")
        )
        assert join.status == "free change"
        assert join.reason == (
            "change from closed to two-hand first, and "
            "end aida facing DC instead of C, an eighth further to the right"
        )


class TestWhatIsLeftOpen:
    def test_an_entry_that_asks_for_nothing_follows_everything(self):
        anything = passage("pause", "- - -", "closed L -")
        assert [join.status for join in report_of(WHISK, anything, NATURAL).joins] == ["holds", "broken"]
        assert only_join(NATURAL, anything).status == "holds"

    def test_an_exit_with_either_foot_free_suits_both_feet(self):
        touch = passage("touch", "closed L 1", "closed - 1")
        assert only_join(touch, NATURAL).status == "holds"
        assert only_join(touch, LEFT_CHANGE).status == "holds"

    def test_a_couple_that_stays_is_where_the_passage_began(self):
        assert [join.status for join in report_of(REVERSE, BOX, LEFT_CHANGE).joins] == ["holds", "holds"]
        assert [join.status for join in report_of(REVERSE, BOX, REVERSE).joins] == ["holds", "broken"]

    def test_a_passage_that_begins_in_a_known_place_and_stays_is_known_to_be_there(self):
        stays = passage("balance", "closed L 3", "closed L -")
        assert stance_after(UNKNOWN, stays).place == 3

    def test_the_place_is_unknown_only_if_it_was_and_then_agrees_with_everything(self):
        assert stance_after(UNKNOWN, BOX).place is None
        assert [join.status for join in report_of(BOX, BOX, REVERSE).joins] == ["holds", "holds"]

    def test_a_place_once_known_is_carried_through_any_number_of_figures_that_stay(self):
        assert [join.status for join in report_of(REVERSE, BOX, BOX, REVERSE).joins][-1] == "broken"

    def test_after_an_unknown_hold_everything_can_be_taken_up(self):
        assert only_join(passage("improvise", "closed L -", "- - -"), CHASSE).status == "holds"


class TestACorner:
    def test_makes_the_same_facing_two_eighths_more(self):
        assert round_the_corner(Stance("closed", "R", 7)) == Stance("closed", "R", 1)
        assert round_the_corner(UNKNOWN) == UNKNOWN

    def test_lets_natural_turn_follow_natural_turn(self):
        assert only_join(NATURAL, NATURAL).status == "broken"
        assert only_join(NATURAL, CORNER, NATURAL).status == "holds"

    def test_has_no_beats_and_makes_no_join_of_its_own(self):
        report = report_of(CORNER, NATURAL, CORNER, NATURAL, CORNER)
        assert len(report.joins) == 1
        assert report.beats == 12

    def test_can_be_passed_twice_between_two_figures(self):
        assert (
            only_join(NATURAL, CORNER, CORNER, passage("other", "closed R 3", "closed R 3")).status == "holds"
        )

    def test_before_the_first_figure_leaves_the_start_unknown(self):
        assert stances_along((CORNER, BOX))[1:] == (UNKNOWN, Stance("closed", "L", None))


class TestWhatARoutineComesTo:
    def test_the_loop_of_turns_and_changes(self):
        report = report_of(*LOOP)
        assert {join.status for join in report.joins} == {"holds"}
        assert (report.beats, report.bars, report.phrases) == (18, 6, Fraction(3, 4))
        assert report.danceable == 4

    def test_beats_bars_and_phrases_are_exact(self):
        swing = [passage("push", "open L 0", "open L 0", 6)] * 4 + [
            passage("whip", "open L 0", "open L 0", 8)
        ]
        report = report_of(*swing, bar_beats=4)
        assert (report.beats, report.bars, report.phrases) == (32, 8, 1)
        assert report.findings == ()

    def test_thirds_of_a_beat_stay_thirds(self):
        third = passage("triple", "open L 0", "open L 0", Fraction(4, 3))
        assert report_of(third, third, third, bar_beats=4).bars == 1

    def test_half_a_bar_over_is_a_finding(self):
        report = report_of(passage("push", "open L 0", "open L 0", 6), bar_beats=4)
        assert [finding.kind for finding in report.findings] == ["not whole bars", "not whole phrases"]
        assert report.findings[0].sentence == "The routine is 6 beats long: 1 bar of 4 and 2 beats over."
        assert report.findings[1].sentence == "The routine is 1 1/2 bars long, less than a phrase of 8."
        assert {finding.place for finding in report.findings} == {None}

    def test_the_length_of_a_phrase_can_be_said(self):
        assert report_of(*LOOP, phrase_bars=6).findings == ()
        assert report_of(*LOOP, phrase_bars=4).findings[0].sentence == (
            "The routine is 6 bars long: 1 phrase of 4 and 2 bars over."
        )

    def test_each_figure_not_taught_is_found_at_its_place(self):
        report = report_of(*LOOP, *LOOP, taught={"natural turn", "reverse turn", "left foot closed change"})
        untaught = [finding for finding in report.findings if finding.kind == "untaught"]
        assert [finding.place for finding in untaught] == [1, 5]
        assert untaught[0].sentence == "Right foot closed change is not taught yet."

    def test_a_broken_join_is_found_at_the_figure_that_cannot_follow(self):
        report = report_of(CORNER, WHISK, NATURAL)
        (broken,) = [finding for finding in report.findings if finding.kind == "broken"]
        assert broken.place == 2
        assert broken.sentence == "Whisk leaves you in promenade, natural turn starts closed."

    def test_an_empty_routine_is_nothing_and_has_no_fault(self):
        report = report_of()
        assert (report.joins, report.findings, report.beats, report.danceable) == ((), (), 0, 0)

    @pytest.mark.parametrize(("bar_beats", "phrase_bars"), [(0, 8), (-3, 8), (3, 0)])
    def test_music_without_length_is_refused(self, bar_beats, phrase_bars):
        with pytest.raises(ValueError, match="A bar has beats"):
            report_of(*LOOP, bar_beats=bar_beats, phrase_bars=phrase_bars)


class TestDanceable:
    def test_ends_before_the_first_figure_not_taught(self):
        assert report_of(*LOOP, taught={"natural turn", "right foot closed change"}).danceable == 2
        assert report_of(*LOOP, taught={"right foot closed change"}).danceable == 0

    def test_ends_before_a_broken_join(self):
        assert report_of(WHISK, NATURAL, RIGHT_CHANGE).danceable == 1

    def test_goes_on_after_a_free_change_and_after_give(self):
        basic = passage("basic", "closed L -", "closed L -", 4)
        new_york = passage("New York", "two-hand L -", "two-hand R -", 4)
        assert report_of(basic, new_york, floor=LATIN, bar_beats=4).danceable == 2
        assert report_of(TestGive.TURNED_ROUND, REVERSE).danceable == 2

    def test_counts_corners_as_items_so_that_the_opening_can_be_cut_off(self):
        routine = (CORNER, NATURAL, CORNER, NATURAL, RIGHT_CHANGE)
        report = report_of(*routine, taught={"natural turn"})
        assert routine[: report.danceable] == (CORNER, NATURAL, CORNER, NATURAL)

    def test_never_ends_with_a_corner_nothing_follows(self):
        assert report_of(NATURAL, CORNER, NATURAL, taught=()).danceable == 0
        assert report_of(NATURAL, CORNER, WHISK, taught={"natural turn"}).danceable == 1

    def test_of_a_sound_routine_that_ends_in_a_corner_is_all_of_it(self):
        assert report_of(NATURAL, CORNER).danceable == 2


class TestWhatCannotBe:
    @pytest.mark.parametrize("foot", ["l", "left", ""])
    def test_a_foot_other_than_left_or_right(self, foot):
        with pytest.raises(ValueError, match="L or R"):
            Stance("closed", foot)

    @pytest.mark.parametrize("place", [-1, 8])
    def test_a_place_outside_the_room(self, place):
        with pytest.raises(ValueError, match="0 to 7"):
            Stance("closed", None, place)

    @pytest.mark.parametrize("beats", [-1, Fraction(1, 5)])
    def test_a_length_that_no_rhythm_has(self, beats):
        with pytest.raises(ValueError, match="twelfths"):
            Passage("box step", UNKNOWN, UNKNOWN, beats)

    def test_beats_that_are_not_exact(self):
        with pytest.raises(TypeError, match="exact"):
            Passage("box step", UNKNOWN, UNKNOWN, 1.5)

    def test_a_give_below_nought(self):
        with pytest.raises(ValueError, match="give"):
            Passage("box step", UNKNOWN, UNKNOWN, 3, give=-1)


HOLDS = st.sampled_from(["closed", "promenade", "two-hand"])
STANCES = st.builds(
    Stance, st.none() | HOLDS, st.none() | st.sampled_from("LR"), st.none() | st.integers(0, 7)
)
FLOORS = st.builds(Floor, st.dictionaries(HOLDS, st.frozensets(HOLDS)))
PASSAGES = st.builds(
    Passage, st.sampled_from("abcd"), STANCES, STANCES, st.integers(0, 8), give=st.integers(0, 2)
)
ROUTINES = st.lists(PASSAGES | st.just(CORNER), max_size=8)


@given(STANCES, STANCES, FLOORS, st.integers(0, 3))
def test_the_bare_question_and_the_full_answer_agree(before, entry, floor, give):
    join = join_between(before, entry, floor=floor, give=give)
    assert joins(before, entry, floor=floor, give=give) == (join.status != "broken")
    assert (join.reason == "") == (join.status == "holds")


@given(STANCES, STANCES, FLOORS)
def test_turning_the_whole_room_breaks_and_mends_nothing(before, entry, floor):
    asked = join_between(before, entry, floor=floor).status
    turned = join_between(round_the_corner(before), round_the_corner(entry), floor=floor).status
    assert asked == turned


@given(ROUTINES, st.frozensets(st.sampled_from("abcd")), FLOORS)
def test_danceable_is_the_longest_opening_without_a_fault(routine, taught, floor):
    def sound(opening):
        report = check_routine(opening, floor=floor, taught=taught, bar_beats=3)
        return not any(finding.kind in ("untaught", "broken") for finding in report.findings)

    danceable = check_routine(routine, floor=floor, taught=taught, bar_beats=3).danceable
    assert sound(routine[:danceable])
    longer = [length for length in range(danceable + 1, len(routine) + 1) if sound(routine[:length])]
    assert all(item is CORNER for length in longer for item in routine[danceable:length])
    assert danceable == len(routine) or danceable == 0 or routine[danceable - 1] is not CORNER


@given(ROUTINES, ROUTINES, FLOORS)
def test_the_beats_of_two_routines_add_up(first, second, floor):
    def beats(routine):
        return check_routine(routine, floor=floor, taught=(), bar_beats=4).beats

    assert beats(first + second) == beats(first) + beats(second)
