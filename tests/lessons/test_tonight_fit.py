"""Tonight's minutes add up exactly and lie as near the ideals as can be."""

from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lessons.planners.tonight import Segment, TimedSegment, TooLong, TooShort, fit


def segment(least, ideal, most, title="practice", give_way=0):
    return Segment(title, title, least, ideal, most, give_way=give_way)


HOUR = (
    segment(2, 3, 5, "welcome"),
    segment(4, 5, 8, "warm-up"),
    segment(5, 8, 12, "recap", give_way=2),
    segment(0, 6, 15, "reviews", give_way=3),
    segment(10, 18, 28, "new figure"),
    segment(5, 9, 15, "routine", give_way=1),
    segment(4, 8, 15, "dancing to music", give_way=4),
    segment(2, 3, 4, "close"),
)


def minutes_of(segments, minutes):
    return [timed.minutes for timed in fit(segments, minutes)]


class TestALessonThatFits:
    def test_an_hour_at_its_ideals_stays_as_it_is(self):
        assert minutes_of(HOUR, 60) == [3, 5, 8, 6, 18, 9, 8, 3]

    def test_each_segment_starts_where_the_one_before_ends(self):
        timed = fit(HOUR, 60)
        assert [entry.start for entry in timed] == [0, 3, 8, 16, 22, 40, 49, 57]
        assert timed[0] == TimedSegment(0, 3, HOUR[0])

    def test_what_is_missing_is_taken_a_little_from_everybody(self):
        assert minutes_of(HOUR, 52) == [2, 4, 7, 5, 17, 8, 7, 2]

    def test_what_is_over_goes_a_little_to_everybody(self):
        assert minutes_of(HOUR, 68) == [4, 6, 9, 7, 19, 10, 9, 4]

    def test_among_equals_the_earlier_segment_gets_the_minute(self):
        assert minutes_of(HOUR, 61) == [4, 5, 8, 6, 18, 9, 8, 3]
        assert minutes_of(HOUR, 59) == [3, 5, 8, 6, 18, 9, 8, 2]

    def test_bounds_are_kept_and_the_others_give_more(self):
        assert minutes_of((segment(5, 5, 5), segment(0, 5, 20), segment(0, 5, 20)), 31) == [5, 13, 13]

    def test_down_to_the_last_least_and_up_to_the_last_most(self):
        assert minutes_of(HOUR, 32) == [2, 4, 5, 0, 10, 5, 4, 2]
        assert minutes_of(HOUR, 102) == [5, 8, 12, 15, 28, 15, 15, 4]

    def test_an_ideal_outside_its_bounds_pulls_towards_itself(self):
        assert minutes_of((segment(0, 30, 10), segment(0, 5, 20)), 15) == [10, 5]

    def test_no_segments_fill_no_minutes(self):
        assert fit((), 0) == ()


class TestALessonThatIsTooShort:
    def test_says_what_does_not_fit(self):
        with pytest.raises(TooShort) as caught:
            fit(HOUR, 30)
        assert [entry.title for entry in caught.value.segments] == ["dancing to music"]
        assert caught.value.missing == 2
        assert str(caught.value) == (
            "The lesson is 2 minutes too short, even with every segment at its shortest: "
            "dancing to music does not fit."
        )

    def test_names_what_gives_way_first_first_and_skips_what_takes_no_time(self):
        with pytest.raises(TooShort) as caught:
            fit(HOUR, 20)
        assert [entry.title for entry in caught.value.segments] == ["dancing to music", "recap", "routine"]
        assert "dancing to music, recap and routine do not fit." in str(caught.value)

    def test_leaves_in_what_a_longer_segment_makes_room_for(self):
        lesson = (
            segment(4, 4, 4, "game", give_way=2),
            segment(20, 20, 20, "new", give_way=1),
            segment(5, 5, 5),
        )
        with pytest.raises(TooShort) as caught:
            fit(lesson, 10)
        assert [entry.title for entry in caught.value.segments] == ["new"]

    def test_of_equals_the_later_gives_way(self):
        with pytest.raises(TooShort) as caught:
            fit((segment(5, 5, 5, "first"), segment(5, 5, 5, "second")), 9)
        assert [entry.title for entry in caught.value.segments] == ["second"]
        assert str(caught.value).startswith("The lesson is 1 minute too short")

    def test_without_any_minutes_everything_that_takes_time_is_named(self):
        with pytest.raises(TooShort) as caught:
            fit(HOUR, 0)
        assert len(caught.value.segments) == 7


class TestALessonThatIsTooLong:
    def test_says_how_many_minutes_are_left_over(self):
        with pytest.raises(TooLong) as caught:
            fit(HOUR, 110)
        assert caught.value.spare == 8
        assert str(caught.value) == "With every segment at its longest, 8 minutes are still empty."

    def test_with_nothing_to_do_is_all_spare(self):
        with pytest.raises(TooLong) as caught:
            fit((), 1)
        assert caught.value.spare == 1
        assert "1 minute is still empty" in str(caught.value)


class TestWhatCannotBe:
    @pytest.mark.parametrize(("least", "most"), [(-1, 5), (6, 5)])
    def test_bounds_that_are_none(self, least, most):
        with pytest.raises(ValueError, match="least minutes"):
            segment(least, 5, most)

    def test_a_lesson_of_less_than_no_time(self):
        with pytest.raises(ValueError, match="-5 minutes"):
            fit(HOUR, -5)


@st.composite
def segments(draw, longest=5):
    least = draw(st.integers(0, longest))
    most = draw(st.integers(least, longest))
    return segment(least, draw(st.integers(-1, longest + 2)), most, give_way=draw(st.integers(0, 3)))


def every_way(lesson, minutes):
    """All minutes within the bounds that add up, by trying every one."""
    for shares in product(*(range(entry.least, entry.most + 1) for entry in lesson)):
        if sum(shares) == minutes:
            yield shares


def squares(lesson, shares):
    return sum((share - entry.ideal) ** 2 for share, entry in zip(shares, lesson, strict=True))


@settings(max_examples=400, deadline=None)
@given(st.lists(segments(), max_size=5), st.integers(0, 20))
def test_trying_every_way_finds_nothing_nearer_and_no_earlier_tie(lesson, minutes):
    ways = list(every_way(lesson, minutes))
    if ways:
        nearest = min(squares(lesson, shares) for shares in ways)
        best = max(shares for shares in ways if squares(lesson, shares) == nearest)
        assert tuple(minutes_of(lesson, minutes)) == best
    else:
        with pytest.raises((TooShort, TooLong)):
            fit(lesson, minutes)


@given(st.lists(segments(), min_size=1, max_size=6), st.data())
def test_without_what_does_not_fit_the_rest_fits_and_nothing_can_be_put_back(lesson, data):
    needed = sum(entry.least for entry in lesson)
    assume(needed > 0)
    minutes = data.draw(st.integers(0, needed - 1))
    with pytest.raises(TooShort) as caught:
        fit(lesson, minutes)
    out = caught.value.segments
    kept = needed - sum(entry.least for entry in out)
    assert kept <= minutes
    assert all(kept + entry.least > minutes for entry in out)
    assert caught.value.missing == needed - minutes
    ways_out = [entry.give_way for entry in out]
    assert ways_out == sorted(ways_out, reverse=True)
