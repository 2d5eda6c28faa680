"""The prerequisite graph: circles are refused with their names, and everything comes after what it needs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.syllabus import (
    CircleError,
    arrows_worth_drawing,
    circle_sentence,
    circle_through,
    find_circle,
    needed_by,
    opens,
    teaching_order,
)


def needs(**wanted):
    """needs(fan="basic open") reads: fan needs basic and open."""
    return {figure: frozenset(names.split()) for figure, names in wanted.items()}


LATIN = needs(
    time="",
    basic="time",
    underarm="basic",
    fan="basic open",
    open="basic",
    alemana="fan underarm basic",
)


class TestCircles:
    def test_a_sound_syllabus_has_none(self):
        assert find_circle(LATIN) is None
        assert find_circle({}) is None

    def test_a_circle_is_found_and_spelled_out(self):
        circle = find_circle(needs(basic="", fan="basic alemana", alemana="fan"))
        assert circle == ("fan", "alemana")
        assert circle_sentence(circle) == "fan needs alemana, which needs fan"

    def test_a_longer_circle_is_spelled_out_all_the_way_round(self):
        circle = find_circle(needs(aida="basic", basic="chase", chase="aida"))
        assert circle_sentence(circle) == "aida needs basic, which needs chase, which needs aida"

    def test_a_figure_that_needs_itself(self):
        assert find_circle(needs(fan="fan")) == ("fan",)
        assert circle_sentence(("fan",)) == "fan needs itself"

    def test_the_shortest_circle_is_named(self):
        tangled = needs(a="b", b="c", c="d e", d="a", e="c")
        assert find_circle(tangled) == ("c", "e")

    def test_the_circle_through_a_figure_begins_with_it(self):
        tangled = needs(fan="alemana", alemana="fan", basic="fan")
        assert circle_through(tangled, "alemana") == ("alemana", "fan")
        assert circle_through(tangled, "basic") is None

    def test_what_only_hangs_on_a_circle_is_not_part_of_it(self):
        assert set(find_circle(needs(before="a", a="b", b="a after", after=""))) == {"a", "b"}


class TestTeachingOrder:
    RANKS = {"time": (1, 10), "basic": (1, 20), "underarm": (1, 30), "open": (2, 10), "fan": (2, 20)}

    def test_follows_level_and_order_where_prerequisites_allow(self):
        ranks = {**self.RANKS, "alemana": (2, 30)}
        assert teaching_order(LATIN, ranks) == ("time", "basic", "underarm", "open", "fan", "alemana")

    def test_a_figure_waits_for_what_it_needs_whatever_its_rank(self):
        ranks = {**self.RANKS, "alemana": (1, 1)}
        assert teaching_order(LATIN, ranks)[-1] == "alemana"

    def test_without_ranks_the_given_order_decides(self):
        assert teaching_order(needs(b="", a="", c="a"), {}) == ("b", "a", "c")

    def test_a_figure_without_rank_comes_last(self):
        assert teaching_order(needs(b="", a=""), {"a": (1, 1)}) == ("a", "b")

    def test_a_prerequisite_from_elsewhere_is_ordered_too(self):
        assert teaching_order(needs(fan="basic"), {}) == ("basic", "fan")

    def test_a_circle_is_refused_by_name(self):
        with pytest.raises(CircleError, match="fan needs alemana, which needs fan") as caught:
            teaching_order(needs(basic="", fan="basic alemana", alemana="fan"), {})
        assert caught.value.circle == ("fan", "alemana")


class TestWhatNeedsWhat:
    def test_everything_before_a_figure_to_any_depth(self):
        assert needed_by(LATIN, "fan") == {"basic", "open", "time"}
        assert needed_by(LATIN, "time") == frozenset()

    def test_what_a_figure_opens_the_way_to(self):
        assert opens(LATIN, "basic") == ("underarm", "fan", "open", "alemana")
        assert opens(LATIN, "alemana") == ()

    def test_a_figure_nobody_has_heard_of_needs_and_opens_nothing(self):
        assert needed_by(LATIN, "zigzag") == frozenset()
        assert opens(LATIN, "zigzag") == ()

    def test_arrows_that_others_imply_are_not_drawn(self):
        assert arrows_worth_drawing(LATIN) == {
            ("time", "basic"),
            ("basic", "underarm"),
            ("basic", "open"),
            ("open", "fan"),
            ("fan", "alemana"),
            ("underarm", "alemana"),
        }

    def test_arrows_of_a_circle_are_refused(self):
        with pytest.raises(CircleError):
            arrows_worth_drawing(needs(fan="alemana", alemana="fan"))

    def test_figures_may_have_numbers_for_keys(self):
        numbered = {1: frozenset[int](), 2: frozenset({1}), 3: frozenset({1, 2})}
        assert arrows_worth_drawing(numbered) == {(1, 2), (2, 3)}
        assert teaching_order(numbered, {}) == (1, 2, 3)


SYLLABI = st.dictionaries(st.sampled_from("abcdefg"), st.frozensets(st.sampled_from("abcdefgh"), max_size=3))


@given(SYLLABI)
def test_every_circle_found_is_one(syllabus):
    circle = find_circle(syllabus)
    if circle is not None:
        for figure, need in zip(circle, (*circle[1:], circle[0]), strict=True):
            assert need in syllabus[figure]
        assert len(set(circle)) == len(circle)


@given(SYLLABI, st.dictionaries(st.sampled_from("abcdefgh"), st.tuples(st.integers(1, 3), st.integers(0, 5))))
def test_an_order_that_is_sound_already_stays(syllabus, ranks):
    if find_circle(syllabus) is None:
        order = teaching_order(syllabus, ranks)
        kept = {figure: (place,) for place, figure in enumerate(order)}
        assert teaching_order(syllabus, kept) == order
