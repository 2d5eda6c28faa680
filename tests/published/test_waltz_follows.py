"""What published descriptions of the waltz let follow what, and what a routine of it comes to.

Sources of what may follow what: encyclopedia articles on the change step, the whisk's chasse and the
telemark; the Finnish DanceSport federation's list of allowed figures for the holds (N closed, P promenade).
The passages are common practice: leader's free foot, and the direction the leader faces, clockwise from the
line of dance in eighths.
"""

from fractions import Fraction

import pytest

from curriculum.rules.chain import CORNER, Floor, Passage, Stance, check_routine, find_link
from curriculum.rules.compose import compose
from curriculum.rules.following import what_can_follow

CLOSED, PROMENADE = "closed", "promenade"

# figure, beats, ways through it: hold, leader's free foot, leader's direction, at the start and at the end
TABLE = [
    ("natural turn", 6, (CLOSED, "R", 1), (CLOSED, "R", 7)),
    ("right foot closed change", 3, (CLOSED, "R", 7), (CLOSED, "L", 7)),
    ("reverse turn", 6, (CLOSED, "L", 7), (CLOSED, "L", 1)),
    ("left foot closed change", 3, (CLOSED, "L", 1), (CLOSED, "R", 1)),
    ("whisk", 3, (CLOSED, "L", 1), (PROMENADE, "R", 1)),
    ("chasse from promenade", 3, (PROMENADE, "R", 1), (CLOSED, "R", 1)),
    ("open telemark", 3, (CLOSED, "L", 7), (PROMENADE, "R", 1)),
    ("balance forward and back", 6, (CLOSED, "L", None), (CLOSED, "L", None)),
]
WALTZ = {
    figure: Passage(figure, Stance(*entry), Stance(*exit_), beats) for figure, beats, entry, exit_ in TABLE
}
FLOOR = Floor({CLOSED: {"two-hand"}})

# figure, what may follow it, where that is printed
MAY_FOLLOW = [
    ("natural turn", "right foot closed change", "encyclopedia article on the change step"),
    ("right foot closed change", "reverse turn", "encyclopedia article on the change step"),
    ("reverse turn", "left foot closed change", "encyclopedia article on the change step"),
    ("left foot closed change", "natural turn", "encyclopedia article on the change step"),
    ("whisk", "chasse from promenade", "Finnish federation figure list: N-P, then P-N"),
    ("open telemark", "chasse from promenade", "encyclopedia article on the telemark"),
]
LOOP = ["natural turn", "right foot closed change", "reverse turn", "left foot closed change"]


def waltz(*figures):
    routine = [CORNER if figure == "corner" else WALTZ[figure] for figure in figures]
    return check_routine(routine, floor=FLOOR, taught=WALTZ, bar_beats=3)


@pytest.mark.parametrize(("figure", "follower", "source"), MAY_FOLLOW)
def test_what_is_printed_to_follow_joins(figure, follower, source):
    (join,) = waltz(figure, follower).joins
    assert join.status == "holds", source


def test_the_loop_of_turns_and_changes_is_eighteen_beats_and_six_bars():
    report = waltz(*LOOP)
    assert [join.status for join in report.joins] == ["holds"] * 3
    assert (report.beats, report.bars, report.phrases) == (18, 6, Fraction(3, 4))


def test_the_loop_closes_so_that_four_rounds_make_three_phrases():
    report = waltz(*LOOP * 4)
    assert {join.status for join in report.joins} == {"holds"}
    assert (report.bars, report.phrases, report.findings) == (24, 3, ())


def test_a_natural_turn_cannot_follow_a_whisk():
    (join,) = waltz("whisk", "natural turn").joins
    assert join.status == "broken"
    assert join.reason == "whisk leaves you in promenade, natural turn starts closed"


def test_a_chasse_mends_what_lies_between_whisk_and_natural_turn():
    link = find_link(
        WALTZ["whisk"].exit, WALTZ["natural turn"].entry, list(WALTZ.values()), floor=FLOOR, taught=WALTZ
    )
    assert [passage.figure for passage in link] == ["chasse from promenade"]


def test_no_other_two_of_the_loop_follow_each_other():
    """Common practice, no source: each change belongs behind one of the turns only."""
    printed = {(figure, follower) for figure, follower, _ in MAY_FOLLOW}
    for figure in LOOP:
        for follower in LOOP:
            (join,) = waltz(figure, follower).joins
            assert (join.status == "holds") == ((figure, follower) in printed)


def test_natural_turn_follows_natural_turn_round_a_corner_only():
    """Common practice, no source: facing DC on one side of the room is facing DW on the next."""
    assert waltz("natural turn", "natural turn").joins[0].status == "broken"
    assert waltz("natural turn", "corner", "natural turn").joins[0].status == "holds"


def test_sixteen_bars_of_a_beginners_waltz_are_two_phrases():
    """One side of the room as a first course dances it (common practice, no source)."""
    report = waltz(*LOOP, *LOOP[:3], "balance forward and back", "left foot closed change", "natural turn")
    assert {join.status for join in report.joins} == {"holds"}
    assert (report.beats, report.bars, report.phrases, report.findings) == (48, 16, 2, ())
    assert report.danceable == 10


@pytest.mark.parametrize(("figure", "follower", "source"), MAY_FOLLOW)
def test_what_is_printed_to_follow_stands_among_the_choices(figure, follower, source):
    found = what_can_follow(
        WALTZ[figure].exit, None, list(WALTZ.values()), floor=FLOOR, taught=WALTZ, planned=()
    )
    assert follower in {choice.passage.figure for choice in found if choice.fits}, source


def test_a_natural_turn_stands_among_what_does_not_fit_after_a_whisk_with_the_reason():
    found = what_can_follow(
        WALTZ["whisk"].exit,
        None,
        list(WALTZ.values()),
        floor=FLOOR,
        taught=WALTZ,
        planned=(),
        neighbours=("whisk", ""),
    )
    (turn,) = [choice for choice in found if choice.passage.figure == "natural turn"]
    assert not turn.fits
    assert turn.reason == "Whisk leaves you in promenade, natural turn starts closed."


def test_composed_to_eighteen_beats_from_and_back_to_its_start_it_is_the_printed_loop():
    """The worked example: 6 + 3 + 6 + 3 beats, six bars of 3/4, with all four in it."""
    found = compose(
        list(WALTZ.values()),
        start=WALTZ["natural turn"].entry,
        end=WALTZ["natural turn"].entry,
        beats=18,
        floor=FLOOR,
        taught=WALTZ,
        required=LOOP,
    )
    assert found.status == "optimal"
    assert [passage.figure for passage in found.passages] == LOOP
    assert found.cost == found.bound == (0, 0)


def test_a_join_that_holds_agrees_in_hold_free_foot_and_alignment_and_no_other_holds():
    """Common practice, no source, asked of every two figures: written out here without the rules."""
    for before, _, _, (hold, foot, faces) in TABLE:
        for after, _, (wanted_hold, wanted_foot, wanted_faces), _ in TABLE:
            (join,) = waltz(before, after).joins
            # A figure whose place is left open ends where it began, which is open too.
            agree_in_place = None in (faces, wanted_faces) or faces == wanted_faces
            agree = (hold, foot) == (wanted_hold, wanted_foot) and agree_in_place
            assert (join.status == "holds") == agree, (before, after)


def test_round_a_corner_the_same_direction_of_the_body_has_a_number_higher_by_two():
    for before, _, _, (hold, foot, faces) in TABLE:
        for after, _, (wanted_hold, wanted_foot, wanted_faces), _ in TABLE:
            (join,) = waltz(before, "corner", after).joins
            agree_in_place = None in (faces, wanted_faces) or (faces + 2) % 8 == wanted_faces
            agree = (hold, foot) == (wanted_hold, wanted_foot) and agree_in_place
            assert (join.status == "holds") == agree, (before, after)
