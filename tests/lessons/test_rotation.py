"""Rotation: everybody dances with everybody as soon as can be, and rests are shared out fairly."""

from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.planners.rotation import Round, ring, rotation, round_robin, share_roles

people = st.integers(0, 45)
rounds = st.integers(0, 120)


@given(people, people, rounds)
def test_each_round_everybody_dances_once_or_rests(leaders, followers, count):
    made = rotation(leaders, followers, count)
    assert len(made) == count
    for one in made:
        if leaders and followers:
            lead, follow = sorted(pair[0] for pair in one.pairs), sorted(pair[1] for pair in one.pairs)
            rest = list(one.resting)
            assert sorted(lead + rest * (leaders > followers)) == list(range(leaders))
            assert sorted(follow + rest * (followers > leaders)) == list(range(followers))
        else:
            assert one == Round((), tuple(range(max(leaders, followers))))


@given(people, people, rounds)
def test_no_pair_meets_twice_before_all_that_can_have_met(leaders, followers, count):
    met = Counter(pair for one in rotation(leaders, followers, count) for pair in one.pairs)
    assert max(met.values(), default=0) <= -(-count // max(leaders, followers, 1))
    if count >= max(leaders, followers):
        assert len(met) == leaders * followers


@given(people, people, rounds)
def test_after_any_number_of_rounds_rests_differ_by_one_at_most(leaders, followers, count):
    rests = Counter(dict.fromkeys(range(max(leaders, followers)), 0))
    for one in rotation(leaders, followers, count):
        rests.update(one.resting)
        assert max(rests.values(), default=0) - min(rests.values(), default=0) <= 1


@given(people, people)
def test_the_gaps_stand_as_far_apart_as_places_allow(one, other):
    larger, smaller = max(one, other), min(one, other)
    places = ring(larger, smaller)
    gaps = [place for place, standing in enumerate(places) if standing is None]
    assert len(gaps) == larger - smaller
    between = [
        (after - before) % larger or larger for before, after in zip(gaps, gaps[1:] + gaps[:1], strict=True)
    ]
    assert max(between, default=0) - min(between, default=0) <= 1
    assert [standing for standing in places if standing is not None] == list(range(smaller))


def test_six_and_four_by_hand():
    assert rotation(4, 6, 2) == (
        Round(((0, 1), (1, 2), (2, 4), (3, 5)), (0, 3)),
        Round(((0, 0), (1, 1), (2, 3), (3, 4)), (2, 5)),
    )


def test_with_equal_numbers_the_followers_move():
    assert rotation(2, 2, 2) == (Round(((0, 0), (1, 1)), ()), Round(((0, 1), (1, 0)), ()))


@given(people, people, people)
def test_those_who_dance_both_even_out_the_roles(leaders, followers, both):
    lead, follow = share_roles(leaders, followers, both)
    assert lead + follow == leaders + followers + both
    assert lead >= leaders
    assert follow >= followers
    best = min(abs(leaders + some - (followers + both - some)) for some in range(both + 1))
    assert abs(lead - follow) == best


@given(people, rounds)
def test_where_roles_do_not_matter_everybody_meets_everybody(count, number):
    made = round_robin(count, number)
    met = Counter(pair for one in made for pair in one.pairs)
    least = max(count - 1 + count % 2, 1)
    assert max(met.values(), default=0) <= -(-number // least)
    if number >= least:
        assert set(met) == set(combinations(range(count), 2))
    for one in made:
        assert sorted([*one.resting, *(who for pair in one.pairs for who in pair)]) == list(range(count))


@pytest.mark.parametrize("wrong", [(-1, 2, 3), (2, -1, 3), (2, 2, -1)])
def test_fewer_than_nobody_is_refused(wrong):
    with pytest.raises(ValueError, match="fewer than no"):
        rotation(*wrong)
    with pytest.raises(ValueError, match="fewer than no"):
        share_roles(*wrong)


def test_a_negative_round_robin_is_refused():
    with pytest.raises(ValueError, match="fewer than no"):
        round_robin(-1, 2)
