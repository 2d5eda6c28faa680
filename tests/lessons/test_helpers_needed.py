"""Of which role an evening is short, and which called helper it does not need any more.

When a role is short, and who can take it, is common practice, no source.
"""

from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.helpers import not_needed, short_of
from lessons.rules.places import Floor


class TestShort:
    numbers = st.integers(0, 12)

    @given(numbers, numbers)
    def test_as_many_helpers_as_are_short_give_everybody_a_partner(self, leaders, followers):
        floor = Floor(leaders, followers)
        short = short_of(floor)
        for _ in range(short.number if short else 0):
            floor = floor.with_one_more(short.role, dances_both=False)
        assert floor.leaders == floor.followers
        assert short_of(floor) is None

    def test_those_who_dance_both_even_it_out_first(self):
        assert short_of(Floor(0, 4, followers_dancing_both=2)) is None
        assert short_of(Floor(1, 4, followers_dancing_both=1)).number == 1


class TestNotNeeded:
    people, called = st.integers(0, 6), st.lists(st.tuples(st.sampled_from("LF"), st.booleans()), max_size=4)

    def uneven(self, floor, called):
        for role, dances_both in called:
            floor = floor.with_one_more(role, dances_both=dances_both)
        return floor.least_difference

    @given(people, people, called)
    def test_without_them_it_is_at_least_as_even_and_nobody_left_could_be_spared(
        self, leaders, followers, called
    ):
        floor = Floor(leaders, followers)
        spare = not_needed(floor, called)
        kept = [one for place, one in enumerate(called) if place not in spare]
        assert self.uneven(floor, kept) <= self.uneven(floor, called)
        for place in range(len(kept)):
            assert self.uneven(floor, kept[:place] + kept[place + 1 :]) >= self.uneven(floor, kept)

    def test_one_who_was_called_before_another_leader_came(self):
        assert not_needed(Floor(1, 2), [("L", False)]) == frozenset()
        assert not_needed(Floor(2, 2), [("L", False)]) == {0}
