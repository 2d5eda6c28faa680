"""A new figure opens into the order in which it is taught; its music goes slower first."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.music import SLOW_AND_TEMPO, TempoRange, count_in, music_said, tempo_at
from lessons.rules.teaching_order import Notes, teaching_order

ORDER = [
    "Leader’s part",
    "Follower’s part",
    "Counts",
    "In hold",
    "Lead and response",
    "With music, slow",
    "With music, at tempo",
    "Faults to watch for",
]
WALTZ = TempoRange(Fraction(28), Fraction(30), 3)
CHA_CHA = TempoRange(Fraction(30), Fraction(32), 4, begins_on=2)


def of(steps, title):
    return next(step for step in steps if step.title == title)


class TestTheOrder:
    def test_it_goes_from_each_part_alone_to_music_at_tempo_and_faults(self):
        assert [step.title for step in teaching_order(Notes(), 15)] == ORDER

    @given(st.integers(0, 120), st.booleans())
    def test_its_minutes_are_the_figures_minutes_to_the_minute(self, minutes, is_technique):
        steps = teaching_order(Notes(is_technique=is_technique), minutes)
        assert sum(step.minutes for step in steps) == minutes
        starts = [sum(step.minutes for step in steps[:place]) for place in range(len(steps))]
        assert [step.start for step in steps] == starts

    @given(st.integers(8, 120))
    def test_every_step_has_a_minute_where_they_fit(self, minutes):
        assert min(step.minutes for step in teaching_order(Notes(), minutes)) >= 1

    def test_with_few_minutes_what_is_missed_least_stands_beside_the_rest(self):
        steps = teaching_order(Notes(), 5)
        assert [step.title for step in steps] == ORDER
        beside = {step.title for step in steps if not step.minutes}
        assert beside == {"With music, at tempo", "Counts", "Faults to watch for"}

    def test_the_parts_and_the_hold_take_most_of_twenty_minutes(self):
        steps = teaching_order(Notes(), 20)
        assert [step.minutes for step in steps] == [3, 3, 2, 4, 2, 2, 2, 2]

    def test_each_step_says_what_the_figures_notes_say(self):
        notes = Notes(
            leader="Begins on the left foot.",
            counts="1 2 3",
            lead="turn the ribs",
            response="turns to promenade",
            faults=(("twists the arms", "elbows in front"), ("late", "wait")),
            notes="Small steps.",
        )
        steps = teaching_order(notes, 15)
        assert of(steps, "Leader’s part").says == ("Small steps.", "Begins on the left foot.")
        assert of(steps, "Lead and response").says == ("Lead: turn the ribs", "Answer: turns to promenade")
        assert of(steps, "Faults to watch for").says == ("twists the arms → elbows in front", "late → wait")
        assert of(steps, "Follower’s part").says == ()

    def test_a_technique_has_no_steps_to_learn(self):
        titles = [step.title for step in teaching_order(Notes(is_technique=True), 12)]
        assert titles[:2] == ["Everybody alone", "In pairs"]
        assert "Leader’s part" not in titles


class TestTheMusic:
    def test_every_segment_with_music_goes_slower_first(self):
        for per_cents in SLOW_AND_TEMPO.values():
            assert list(per_cents) == sorted(per_cents)
            assert set(per_cents) <= {60, 75, 90, 100}

    def test_a_tempo_is_a_share_of_the_dances_range(self):
        slow = tempo_at(WALTZ, 60)
        assert slow.bars == (17, 18)
        assert slow.beats == (50, 54)
        assert slow.said == "17 to 18 bars a minute (50 to 54 beats)"
        assert tempo_at(WALTZ, 100).bars == (28, 30)

    def test_a_dance_of_one_tempo_says_one(self):
        one = TempoRange(Fraction(30), Fraction(30), 4)
        assert tempo_at(one, 90).said == "27 bars a minute (108 beats)"

    def test_the_count_in_is_two_bars_and_what_comes_before_the_first_step(self):
        assert count_in(WALTZ) == "1 2 3, 1 2 3"
        assert count_in(CHA_CHA) == "1 2 3 4, 1 2 3 4, 1"

    def test_a_segment_says_its_tempi_and_its_count_in(self):
        assert music_said("practice", WALTZ) == (
            "25 to 27 bars a minute (76 to 81 beats), then 28 to 30 (84 to 90). Count in 1 2 3, 1 2 3."
        )

    def test_a_warm_up_has_no_tempo_of_the_dance(self):
        assert music_said("warm_up", WALTZ) == ""

    @pytest.mark.parametrize(("slowest", "quickest", "begins"), [(0, 30, 1), (31, 30, 1), (28, 30, 4)])
    def test_a_range_that_is_none_is_refused(self, slowest, quickest, begins):
        with pytest.raises(ValueError, match=r"tempo range|no beat"):
            TempoRange(Fraction(slowest), Fraction(quickest), 3, begins)
