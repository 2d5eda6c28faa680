"""What can follow at a place of a routine: which figures fit, which must be taught first, and why not."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from curriculum.rules.chain import CORNER, UNKNOWN, Floor, Passage, Stance, Words, check_routine
from curriculum.rules.following import what_can_follow

FLOOR = Floor({"closed": {"two-hand"}, "two-hand": {"closed"}})
CLOSED_R = Stance("closed", "R", 1)
CLOSED_L = Stance("closed", "L", 1)

NATURAL = Passage("natural turn", CLOSED_R, Stance("closed", "R", 7), 6)
LEFT_CHANGE = Passage("left foot closed change", CLOSED_L, CLOSED_R, 3)
WHISK = Passage("whisk", CLOSED_L, Stance("promenade", "R", 1), 3)
CHASSE = Passage("chasse from promenade", Stance("promenade", "R", 1), CLOSED_R, 3)
DANCE = (CHASSE, NATURAL, WHISK, LEFT_CHANGE)
WALTZ = {passage.figure for passage in DANCE}


def at(before, after=None, *, passages=DANCE, taught=WALTZ, planned=(), **more):
    return what_can_follow(before, after, passages, floor=FLOOR, taught=taught, planned=planned, **more)


def names(candidates):
    return [candidate.passage.figure for candidate in candidates]


def test_what_fits_comes_first_and_the_rest_says_why_not():
    found = at(CLOSED_L, neighbours=("reverse turn", ""))
    assert names(found) == ["whisk", "left foot closed change", "chasse from promenade", "natural turn"]
    assert [candidate.fits for candidate in found] == [True, True, False, False]
    assert found[0].reason == ""
    assert found[2].reason == (
        "Reverse turn leaves you closed, with the leader's left foot free; "
        "chasse from promenade starts in promenade, with the leader's right foot."
    )


def test_before_a_figure_what_leads_into_it_comes_first():
    found = at(CLOSED_L, NATURAL.entry, neighbours=("", "natural turn"))
    assert names(found)[:2] == ["left foot closed change", "whisk"]
    assert [candidate.fits for candidate in found[:2]] == [True, False]
    assert found[1].begins
    assert found[1].reason == "Whisk leaves you in promenade, natural turn starts closed."


def test_taught_comes_before_planned_and_planned_before_the_rest():
    found = at(CLOSED_L, taught={"natural turn"}, planned={"left foot closed change", "natural turn"})
    assert [(candidate.passage.figure, candidate.standing) for candidate in found] == [
        ("left foot closed change", "planned"),
        ("whisk", "elsewhere"),
        ("natural turn", "taught"),
        ("chasse from promenade", "elsewhere"),
    ]


def test_what_simply_holds_comes_before_a_change_of_hold():
    new_york = Passage("New York", Stance("two-hand", "L"), Stance("two-hand", "R"), 4)
    found = at(CLOSED_L, passages=(new_york, WHISK), taught={"New York", "whisk"})
    assert [candidate.status for candidate in found] == ["holds", "free change"]
    assert found[1].reason == "Change from closed to two-hand first."


def test_a_change_after_the_figure_is_told_from_one_before_it():
    box = Passage("box", CLOSED_L, CLOSED_L, 6)
    (found,) = at(CLOSED_L, Stance("two-hand", "L"), passages=(box,))
    assert found.reason == "After it: change from closed to two-hand first."


def test_the_figure_before_may_be_turned_a_little_more():
    assert not at(Stance("closed", "R", 2), passages=(NATURAL,))[0].fits
    (turned,) = at(Stance("closed", "R", 2), passages=(NATURAL,), give=1, neighbours=("spin", ""))
    assert (turned.fits, turned.status) == (True, "give")
    assert turned.reason == "End spin facing DW instead of W, an eighth further to the left."


def test_a_corner_before_what_follows_turns_the_room():
    assert not at(CLOSED_R, NATURAL.entry, passages=(NATURAL,))[0].fits
    assert at(CLOSED_R, NATURAL.entry, passages=(NATURAL,), corners_after=1)[0].fits


def test_at_the_start_of_a_routine_everything_can_be_begun():
    assert all(candidate.fits for candidate in at(UNKNOWN))


def test_a_way_given_twice_is_one_row_and_names_are_those_of_the_dance():
    words = Words(figures={"natural turn": "Natural Turn"}, holds={"promenade": "PP"})
    (row,) = at(Stance("promenade", "R", 1), passages=(NATURAL, NATURAL), words=words)
    assert row.reason == "You stand in PP, Natural Turn starts closed."


HOLDS = st.sampled_from(["closed", "two-hand", "promenade", None])
STANCES = st.builds(Stance, HOLDS, st.none() | st.sampled_from("LR"), st.none() | st.integers(0, 3))
PASSAGES = st.builds(Passage, st.sampled_from("abc"), STANCES, STANCES, st.just(3), give=st.integers(0, 1))


@given(PASSAGES, PASSAGES, st.lists(PASSAGES, max_size=5), st.integers(0, 2))
def test_it_agrees_with_the_check_of_the_routine_it_would_make(before, after, passages, corners):
    stance = before.exit if before.exit.place is not None else Stance(*_ends(before))
    found = at(stance, after.entry, passages=passages, give=before.give, corners_after=corners)
    for candidate in found:
        routine = (before, candidate.passage, *[CORNER] * corners, after)
        report = check_routine(routine, floor=FLOOR, taught="abc", bar_beats=3)
        assert [join.status for join in report.joins] == [join.status for join in candidate.joins]
    for first, second in pairwise(found):
        assert first.fits or not second.fits


def _ends(passage):
    place = passage.exit.place if passage.exit.place is not None else passage.entry.place
    return passage.exit.hold, passage.exit.foot, place
