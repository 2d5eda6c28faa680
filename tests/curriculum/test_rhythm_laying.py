"""The rhythm of a whole figure is put together from the dance's units, as near to the chart as can be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.rhythm_laying import lay_rhythm
from curriculum.rules.steps import Step
from lessons.demo.load import DANCES
from lessons.demo.read import read

WALTZ = (("1", 12), ("2", 12), ("3", 12))
SECOND_BAR = (("4", 12), ("5", 12), ("6", 12))
WALK = (("1", 12), ("2", 12))
TRIPLE = (("3", 8), ("&", 4), ("4", 12))


def steps(*rows):
    return [Step(count, ticks, None, "hold", "") for count, ticks in rows]


def test_units_follow_each_other_as_the_chart_says_them():
    rows = (*WALK, *TRIPLE, *TRIPLE)
    assert lay_rhythm((WALK, TRIPLE), steps(*rows)) == rows


def test_a_unit_that_begins_on_one_may_be_said_on():
    rows = (*WALK, *TRIPLE, ("5", 12), ("6", 12))
    assert lay_rhythm((WALK, TRIPLE), steps(*rows)) == rows


def test_a_part_of_a_figure_may_begin_at_any_number():
    assert lay_rhythm((WALK,), steps(("5", 12), ("6", 12))) == (("5", 12), ("6", 12))


def test_a_wrong_length_a_missing_count_and_one_too_many_still_find_their_rhythm():
    whole = WALTZ + SECOND_BAR
    units = (WALTZ, SECOND_BAR)
    assert lay_rhythm(units, steps(("1", 12), ("2", 6), *whole[2:])) == whole
    assert lay_rhythm(units, steps(*whole[:2], *whole[3:])) == whole
    assert lay_rhythm(units, steps(*whole[:3], ("&", 6), *whole[3:])) == whole


@pytest.mark.parametrize(
    ("units", "rows"),
    [((), WALTZ), ((WALTZ,), ()), ((WALTZ,), (("S", 24), ("Q", 12), ("Q", 12)))],
    ids=["a dance without rhythms", "an empty chart", "counts of another kind"],
)
def test_where_nothing_is_alike_nothing_is_known(units, rows):
    assert lay_rhythm(units, steps(*rows)) is None


@given(st.lists(st.sampled_from([WALTZ, SECOND_BAR, TRIPLE]), min_size=1, max_size=8))
def test_whatever_is_made_of_units_is_found_to_be_itself(chosen):
    rows = tuple(count for unit in chosen for count in unit)
    assert lay_rhythm((WALTZ, SECOND_BAR, TRIPLE), steps(*rows)) == rows


@pytest.mark.parametrize("dance", DANCES)
def test_every_chart_of_the_demo_is_made_of_its_dance_s_rhythms(dance):
    units = [tuple((count, ticks) for count, ticks in row["counts"]) for row in read(dance)["rhythm"]]
    charts = [tuple((row[0], row[1]) for row in chart["rows"]) for chart in read(f"charts_{dance}")["chart"]]
    assert charts
    assert [lay_rhythm(units, steps(*rows)) for rows in charts] == charts
