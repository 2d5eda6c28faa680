"""The prerequisite map: each figure in its level's band, arrows downward, only those that say something."""

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.prerequisite_map import lay_out
from curriculum.rules.syllabus import CircleError


@st.composite
def syllabuses(draw):
    """Figures on levels in teaching order, each needing some that come before it: (needs, bands)."""
    count = draw(st.integers(1, 30))
    ranks = sorted(draw(st.lists(st.integers(1, 4), min_size=count, max_size=count)))
    bands = {f"figure {number}": rank for number, rank in enumerate(ranks)}
    names = list(bands)
    needs = {}
    for number, name in enumerate(names):
        before = st.sets(st.sampled_from(names[:number]), max_size=4) if number else st.just(set())
        needs[name] = frozenset(draw(before))
    return needs, bands


def room_in(laid, row):
    """What lies in a row from left to right: (x, room it takes)."""
    figures = [(spot.x, 1.0) for spot in laid.spots.values() if spot.row == row]
    bends = [(x, 0.18) for arrow in laid.arrows for at, x in arrow.bends if at == row]
    return sorted(figures + bends)


@given(syllabus=syllabuses())
def test_arrows_are_the_transitive_reduction_that_networkx_finds(syllabus):
    needs, bands = syllabus
    graph = nx.DiGraph([(need, key) for key, wanted in needs.items() for need in wanted])
    drawn = {(arrow.needed, arrow.needing) for arrow in lay_out(needs, bands).arrows}
    assert drawn == set(nx.transitive_reduction(graph).edges)


@given(syllabus=syllabuses())
def test_every_arrow_leads_down_and_passes_each_row_between_once(syllabus):
    laid = lay_out(*syllabus)
    for arrow in laid.arrows:
        start, end = laid.spots[arrow.needed].row, laid.spots[arrow.needing].row
        assert [row for row, _ in arrow.bends] == list(range(start + 1, end))
        assert start < end


@given(syllabus=syllabuses(), widest=st.integers(1, 8))
def test_levels_lie_in_bands_one_under_the_other_with_no_row_too_wide(syllabus, widest):
    needs, bands = syllabus
    laid = lay_out(needs, bands, widest=widest)
    first = 0
    for band, rows in sorted(laid.rows.items()):
        inside = [spot for spot in laid.spots.values() if spot.band == band]
        assert {spot.row for spot in inside} == set(range(first, first + rows))
        assert all(bands[key] == band for key, spot in laid.spots.items() if spot in inside)
        first += rows
    for row in range(first):
        assert sum(spot.row == row for spot in laid.spots.values()) <= widest


@given(syllabus=syllabuses())
def test_nothing_in_a_row_overlaps_or_sticks_out(syllabus):
    laid = lay_out(*syllabus)
    for row in range(sum(laid.rows.values())):
        there = room_in(laid, row)
        for (x, room), (next_x, next_room) in pairwise(there):
            assert next_x - x >= (room + next_room) / 2 - 1e-6
        assert there[0][0] - there[0][1] / 2 >= -1e-6
        assert there[-1][0] + there[-1][1] / 2 <= laid.width + 1e-6


@given(syllabus=syllabuses())
def test_equal_syllabuses_give_equal_maps(syllabus):
    assert lay_out(*syllabus) == lay_out(*syllabus)


def test_two_ladders_that_are_given_crossed_are_drawn_side_by_side():
    needs = {"a": frozenset(), "b": frozenset(), "c": frozenset({"b"}), "d": frozenset({"a"})}
    laid = lay_out(needs, {"a": 1, "b": 1, "c": 2, "d": 2})
    x = {key: spot.x for key, spot in laid.spots.items()}
    assert (x["a"] < x["b"]) == (x["d"] < x["c"])


def test_a_row_of_figures_each_needing_the_last_is_one_straight_line():
    needs = {key: frozenset(before) for key, before in zip("abcd", ["", "a", "b", "c"], strict=True)}
    laid = lay_out(needs, dict.fromkeys("abcd", 1))
    assert {spot.x for spot in laid.spots.values()} == {0.5}
    assert [laid.spots[key].row for key in "abcd"] == [0, 1, 2, 3]


def test_a_figure_that_needs_one_of_a_higher_level_has_its_arrow_drawn_upward():
    laid = lay_out({"a": frozenset({"c"}), "b": frozenset(), "c": frozenset()}, {"a": 1, "b": 2, "c": 3})
    (arrow,) = laid.arrows
    assert laid.spots[arrow.needed].row > laid.spots[arrow.needing].row
    assert [row for row, _ in arrow.bends] == [1]


def test_needs_on_levels_that_are_not_shown_are_left_out():
    laid = lay_out({"b": frozenset({"hidden"})}, {"b": 1})
    assert list(laid.spots) == ["b"]
    assert laid.arrows == ()


def test_a_circle_is_refused():
    with pytest.raises(CircleError, match="circle"):
        lay_out({"a": frozenset("b"), "b": frozenset("a")}, {"a": 1, "b": 1})


def test_no_figures_no_map():
    laid = lay_out({}, {})
    assert (laid.spots, laid.arrows, laid.width) == ({}, (), 0.0)
