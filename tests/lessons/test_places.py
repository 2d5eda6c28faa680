"""How many more find a place in a role, and whether a couple does, for enrolling and catching up alike.

The rule is common practice, no source.
"""

from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.places import Floor, couple_has_place, has_place, places_free

counts = st.integers(0, 8)


@given(counts, counts, st.sampled_from("LF"), st.booleans(), counts, st.integers(0, 4))
def test_as_many_come_in_as_the_rule_lets_in_and_no_more(leaders, followers, role, both, places, allowed):
    floor, asked = Floor(leaders, followers), {"places": places, "allowed_difference": allowed}
    free = places_free(floor, role, dances_both=both, **asked)
    for _ in range(free):
        assert has_place(floor, role, dances_both=both, **asked)
        floor = floor.with_one_more(role, dances_both=both)
    assert not has_place(floor, role, dances_both=both, **asked)


@given(counts, counts, counts, counts)
def test_a_couple_needs_a_place_in_each_role_and_changes_no_difference(leaders, followers, one, other):
    floor = Floor(leaders, followers)
    fits = couple_has_place(floor, places_leaders=one, places_followers=other)
    assert fits == (leaders < one and followers < other)
    both = floor.with_one_more("L", dances_both=False).with_one_more("F", dances_both=False)
    assert both.least_difference == floor.least_difference
