"""Changes of partner in one segment, with the people a hall really has."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.evening_rotation import Dancer, Hall, rotate, rounds_in
from lessons.rules.rotation_words import called, remarks

ADA, BEA, CLEM = (Dancer(key, name, "L") for key, name in ((1, "Ada"), (2, "Bea"), (3, "Clem")))
UNA, VIV, WREN = (Dancer(key, name, "F") for key, name in ((11, "Una"), (12, "Viv"), (13, "Wren")))


def couples(rotation):
    return [[(lead.name, follow.name) for lead, follow in one.couples] for one in rotation.rounds]


def resting(rotation):
    return [[dancer.name for dancer in one.resting] for one in rotation.rounds]


def said(hall, rounds):
    made = rotate(hall, rounds)
    return called(made, hall), list(remarks(made, hall))


@st.composite
def halls(draw):
    roles = draw(st.lists(st.sampled_from("LFB"), max_size=12))
    dancers = tuple(Dancer(key, f"P{key}", role, draw(st.integers(1, 3))) for key, role in enumerate(roles))
    keys = st.integers(0, max(len(roles) - 1, 0))
    pairs = st.tuples(keys, keys).filter(lambda pair: pair[0] != pair[1])
    several = st.lists(pairs, max_size=3) if len(roles) > 1 else st.just([])
    return Hall(
        dancers=dancers,
        helpers=tuple(Dancer(100 + one, f"H{one}", "B") for one in range(draw(st.integers(0, 2)))),
        fixed=tuple(draw(several)),
        apart=frozenset(frozenset(pair) for pair in draw(several)),
        followers_move=draw(st.booleans()),
        roles_matter=draw(st.booleans()),
    )


@given(halls(), st.integers(1, 8))
def test_whoever_is_there_dances_or_rests_each_round_and_none_who_are_apart_meet(hall, rounds):
    made = rotate(hall, rounds)
    assert len(made.rounds) == rounds
    for one in made.rounds:
        pairs = [*one.couples, *one.together]
        there = [dancer.key for couple in pairs for dancer in couple] + [dancer.key for dancer in one.resting]
        here = [dancer.key for dancer in (*hall.dancers, *made.called_in) if dancer.from_round <= one.number]
        assert sorted(there) == sorted(here)
        assert not {frozenset((lead.key, follow.key)) for lead, follow in pairs} & hall.apart


@given(halls(), st.integers(1, 8))
def test_there_is_always_something_to_say(hall, rounds):
    sentence, more = said(hall, rounds)
    assert sentence or more
    for words in (sentence, *more):
        assert not words or words[0].isupper()
        assert not words or words.endswith(".")


def test_a_segment_of_twelve_minutes_has_four_rounds_of_three():
    assert rounds_in(12, 3) == 4
    assert rounds_in(14, 3) == 4
    assert rounds_in(2, 3) == 1


def test_three_and_three_need_only_be_told_to_move_on():
    hall = Hall((ADA, BEA, CLEM, UNA, VIV, WREN))
    assert couples(rotate(hall, 2)) == [
        [("Ada", "Una"), ("Bea", "Viv"), ("Clem", "Wren")],
        [("Ada", "Wren"), ("Bea", "Una"), ("Clem", "Viv")],
    ]
    assert said(hall, 3)[0] == "Followers move on one."
    assert "After three rounds everybody has danced with everybody." in said(hall, 3)[1]


@given(halls(), st.integers(1, 8))
def test_when_all_have_danced_with_all_is_said_from_the_rounds_as_they_are(hall, rounds):
    made = rotate(hall, rounds)
    said_of = [words for words in remarks(made, hall) if "everybody has danced with everybody" in words]
    met = set()
    after = None
    for one in made.rounds:
        met |= {(lead.key, follow.key) for pair in one.couples for lead, follow in (pair, pair[::-1])}
        if after is None and all((a.key, b.key) in met for a in made.leaders for b in made.followers):
            after = one.number
    larger, smaller = sorted((len(made.leaders), len(made.followers)), reverse=True)
    if after is None or not hall.roles_matter or not smaller or larger < 2:
        assert said_of == []
    else:
        word = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")[after]
        assert said_of == [f"After {word} rounds everybody has danced with everybody."]


def test_who_comes_late_puts_it_off_until_they_have_danced_with_all():
    hall = Hall((ADA, BEA, UNA, Dancer(12, "Viv", "F", from_round=2)))
    assert "After three rounds everybody has danced with everybody." in said(hall, 4)[1]
    short = "It takes three rounds until all have danced with all; there is time for two."
    assert short in said(hall, 2)[1]


def test_where_two_are_kept_apart_nobody_is_told_that_all_meet():
    hall = Hall((ADA, BEA, UNA, VIV), apart=frozenset({frozenset((1, 11))}))
    assert "There is time for eight rounds, in which not everybody dances with everybody." in said(hall, 8)[1]


def test_who_moves_is_the_schools_word_and_the_gaps_follow_it():
    hall = Hall((ADA, UNA, VIV, WREN))
    assert said(hall, 3)[0] == "Followers move on one; at the two gaps you rest."
    leaders_move = Hall((ADA, UNA, VIV, WREN), followers_move=False)
    assert said(leaders_move, 3)[0] == "Leaders move on one, the two gaps too; at a gap you rest."
    assert couples(rotate(hall, 3)) == couples(rotate(leaders_move, 3))


def test_who_dances_both_fills_the_smaller_role_before_a_helper_is_called_in():
    tobin = Dancer(90, "Tobin", "B")
    both = Dancer(20, "Sorrel", "B")
    made = rotate(Hall((ADA, BEA, CLEM, UNA, both), helpers=(tobin,)), 3)
    assert [dancer.name for dancer in made.followers] == ["Una", "Sorrel", "Tobin"]
    assert [dancer.name for dancer in made.called_in] == ["Tobin"]
    assert not rotate(Hall((ADA, UNA), helpers=(tobin,)), 3).called_in
    assert "Sorrel follows." in said(Hall((ADA, BEA, CLEM, UNA, both)), 3)[1]
    assert "Called in: Tobin as follower." in said(Hall((ADA, BEA, UNA), helpers=(tobin,)), 3)[1]


QUILL, NERYS = Dancer(30, "Quill", "B"), Dancer(40, "Nerys", "L")
LEAD, FOLLOW = {"Ada", "Bea", "Quill"}, {"Una", "Viv", "Quill"}


def names(dancers):
    return {dancer.name for dancer in dancers}


def test_who_dances_both_takes_the_role_that_the_called_helper_does_not():
    """Two lead, two follow, Quill dances either: with Nerys, who leads, three lead and three follow."""
    hall = Hall((ADA, BEA, QUILL, UNA, VIV), helpers=(NERYS,))
    made = rotate(hall, 3)
    assert names(made.leaders) == {"Ada", "Bea", "Nerys"}
    assert names(made.followers) == {"Una", "Viv", "Quill"}
    assert resting(made) == [[], [], []]
    assert {"Quill follows.", "Called in: Nerys as leader."} <= set(said(hall, 3)[1])


@pytest.mark.parametrize(("own_role", "leaders", "rests"), [("F", 2, FOLLOW), ("L", 3, LEAD)])
def test_who_dances_both_keeps_their_own_role_where_the_other_gains_nothing(own_role, leaders, rests):
    """Two lead, two follow: one is over whatever Quill does."""
    quill = replace(QUILL, own_role=own_role)
    made = rotate(Hall((ADA, BEA, quill, UNA, VIV)), 3)
    assert len(made.leaders) == leaders
    assert {name for names in resting(made) for name in names} <= rests


def test_of_those_who_dance_both_the_fewest_leave_their_own_role():
    """Of two who dance both, one leads and one follows: each as they are enrolled, whoever is named first."""
    olive, pim = Dancer(50, "Olive", "B", own_role="F"), Dancer(51, "Pim", "B", own_role="L")
    made = rotate(Hall((olive, pim, ADA, UNA)), 1)
    assert names(made.leaders) == {"Ada", "Pim"}
    assert names(made.followers) == {"Una", "Olive"}


def test_who_was_called_comes_in_before_who_teaches():
    tobin = Dancer(90, "Tobin", "B")
    made = rotate(Hall((ADA, BEA, QUILL, UNA, VIV), helpers=(NERYS, tobin)), 1)
    assert names(made.called_in) == {"Nerys"}
    assert not resting(made)[0]


def test_nobody_is_called_in_where_those_who_dance_both_even_it_out():
    made = rotate(Hall((ADA, BEA, QUILL, UNA), helpers=(NERYS,)), 1)
    assert not made.called_in
    assert "Quill" in names(made.followers)


def without_partner_and_called(lead, follow, helpers):
    """(left over, helpers used) at the least, whichever of the helpers come in as whatever they can dance."""
    ways = product(*({"L": (1, 0), "F": (-1, 0), "B": (1, -1, 0)}[role] for role in helpers))
    return min((abs(lead - follow + sum(way)), sum(map(abs, way))) for way in ways)


@given(
    st.lists(st.sampled_from("LFB"), max_size=8),
    st.lists(st.sampled_from("LFB"), max_size=3),
)
def test_no_other_dealing_leaves_fewer_without_a_partner_or_calls_fewer_helpers(roles, helpers):
    """Every dealing of those who dance both, and every way to call the helpers, is tried."""
    made = rotate(
        Hall(
            tuple(Dancer(key, f"P{key}", role) for key, role in enumerate(roles)),
            helpers=tuple(Dancer(100 + key, f"H{key}", role) for key, role in enumerate(helpers)),
        ),
        1,
    )
    lead, follow, both = (roles.count(role) for role in "LFB")
    best = min(
        without_partner_and_called(lead + some, follow + both - some, helpers) for some in range(both + 1)
    )
    assert (abs(len(made.leaders) - len(made.followers)), len(made.called_in)) == best
    can = dict(enumerate(roles)) | {100 + key: role for key, role in enumerate(helpers)}
    assert all(can[dancer.key] in "LB" for dancer in made.leaders)
    assert all(can[dancer.key] in "FB" for dancer in made.followers)


def test_a_fixed_couple_stays_and_the_others_change():
    made = rotate(Hall((ADA, BEA, CLEM, UNA, VIV, WREN), fixed=((13, 1),)), 2)
    assert [[(a.name, b.name) for a, b in one.together] for one in made.rounds] == [[("Ada", "Wren")]] * 2
    assert couples(made) == [[("Bea", "Una"), ("Clem", "Viv")], [("Bea", "Viv"), ("Clem", "Una")]]


def test_two_apart_are_kept_out_of_each_others_way_without_a_word():
    hall = Hall((ADA, BEA, CLEM, UNA, VIV, WREN), apart=frozenset({frozenset((1, 11))}))
    made = rotate(hall, 2)
    assert not any(("Ada", "Una") in one for one in couples(made))
    assert not any(one.told for one in made.rounds)
    assert all(len(one.couples) == 3 for one in made.rounds)


def test_where_the_ring_would_bring_them_together_somebody_near_changes_places():
    hall = Hall((ADA, BEA, CLEM, UNA, VIV, WREN), apart=frozenset({frozenset((1, 11))}))
    made = rotate(hall, 3)
    assert not any(("Ada", "Una") in one for one in couples(made))
    assert all(len(one.couples) == 3 for one in made.rounds)
    assert sum(len(one.told) for one in made.rounds) == 1


def test_the_only_couple_that_may_not_be_one_rests():
    made = rotate(Hall((ADA, UNA), apart=frozenset({frozenset((1, 11))})), 2)
    assert couples(made) == [[], []]
    assert resting(made) == [["Ada", "Una"]] * 2


def test_a_place_is_kept_for_who_comes_late():
    late = Dancer(3, "Clem", "L", from_round=2)
    hall = Hall((ADA, BEA, late, UNA, VIV, WREN))
    made = rotate(hall, 3)
    assert [len(one) for one in couples(made)] == [2, 3, 3]
    assert resting(made)[0] == ["Wren"]
    assert "Keep a free place for Clem: whoever comes to it rests." in said(hall, 3)[1]


def test_who_waits_at_a_gap_is_sent_to_who_waits_for_a_latecomer():
    late = Dancer(11, "Una", "F", from_round=4)
    made = rotate(Hall((ADA, BEA, late, VIV, WREN)), 2)
    assert [len(one) for one in couples(made)] == [2, 2]
    assert any("dance together" in words for one in made.rounds for words in one.told)


def test_where_roles_do_not_matter_all_meet_all():
    hall = Hall((ADA, BEA, CLEM, UNA), roles_matter=False)
    met = {frozenset(pair) for one in couples(rotate(hall, 3)) for pair in one}
    assert len(met) == 6
    assert said(hall, 3)[0] == "In two lines facing each other: Una stays, everybody else moves on one."


def test_nobody_is_said():
    assert said(Hall(()), 4) == ("", ["Nobody is here yet. Tick who has come."])


def test_leaders_alone_are_said():
    sentence, more = said(Hall((ADA, BEA)), 4)
    assert sentence == ""
    assert more == [
        "There are two leaders and no follower: nobody can be paired. "
        "Dance it alone, or let some take the other role.",
        "Nobody has anybody to change with.",
    ]
    assert resting(rotate(Hall((ADA, BEA)), 1)) == [["Ada", "Bea"]]


def test_forty_leaders_and_one_follower_are_answered_in_a_sentence():
    crowd = tuple(Dancer(key, f"L{key}", "L") for key in range(40))
    sentence, more = said(Hall((*crowd, Dancer(99, "Una", "F"))), 4)
    assert sentence == "Followers move on one, the 39 gaps too; at a gap you rest."
    assert more[0].startswith("With 40 leaders and one follower each leader dances about one round in 40.")


def test_one_round_is_no_change():
    assert (
        "There is no time for a change: everybody stays with one partner."
        in said(Hall((ADA, BEA, UNA)), 1)[1]
    )


def test_one_couple_has_nobody_to_change_with():
    assert said(Hall((ADA, UNA)), 3) == ("", ["Nobody has anybody to change with."])
