"""Whole routines of three kinds of dance, as beginners dance them, and what goes wrong in them.

The figures and their ways in and out are common practice, no source.
"""

from dataclasses import replace

import pytest

from curriculum.rules.chain import CORNER, Floor, Passage, Stance, Words, check_routine, find_link

# A passage: figure, beats, "hold:leader's free foot:place > the same at the end". Places of the waltz are the
# directions the leader faces, of the swing the follower's end of the slot; "-" is left open.
WALTZ = """
    natural turn             6  CL:R:1 > CL:R:7
    right foot closed change 3  CL:R:7 > CL:L:7
    reverse turn             6  CL:L:7 > CL:L:1
    reverse turn (4-6)       3  CL:R:3 > CL:L:1
    left foot closed change  3  CL:L:1 > CL:R:1
    whisk                    3  CL:L:1 > PR:R:1
    chasse from promenade    3  PR:R:1 > CL:R:1
    hesitation change        6  CL:R:1 > CL:L:7
    progressive chasse       3  CL:L:7 > CL:L:5
    back lock                3  CL:L:5 > CL:L:5
    natural turn (4-6)       3  CL:L:5 > CL:R:7
    natural spin turn        6  CL:R:1 > CL:R:3
    balance                  6  CL:L:- > CL:L:-
"""
CHA_CHA = """
    time step                8  2H:L:- > 2H:L:-
    basic                    8  CL:L:- > CL:L:-
    basic (first bar)        4  CL:L:- > CL:R:-
    New York                 4  2H:L:- > 2H:R:-
    New York (right)         4  2H:R:- > 2H:L:-
    spot turn (right)        4  2H:R:- > 2H:L:-
    hand to hand             4  2H:L:- > 2H:R:-
    hand to hand (right)     4  2H:R:- > 2H:L:-
    shoulder to shoulder     4  2H:L:- > 2H:R:-
    shoulder (right)         4  2H:R:- > 2H:L:-
    fan                      4  CL:R:- > FN:L:-
    alemana                  8  FN:L:- > CL:L:-
"""
SWING = """
    sugar push               6  LR:L:0 > LR:L:0
    left side pass           6  LR:L:0 > LR:L:1
    left side pass (back)    6  LR:L:1 > LR:L:0
    underarm pass            6  LR:L:1 > LR:L:0
    sugar tuck               6  LR:L:0 > LR:L:0
    basic whip               8  LR:L:0 > LR:L:0
"""
FLOOR = Floor(
    {
        "CL": {"2H", "LR"},
        "2H": {"CL", "LR", "RL", "AP"},
        "LR": {"2H", "CL", "RL"},
        "AP": {"2H", "LR"},
    }
)
NAMES = Words(holds={"CL": "closed", "2H": "two-hand", "LR": "left-to-right", "FN": "fan", "PR": "promenade"})


def stance(written):
    hold, foot, place = written.split(":")
    return Stance(hold, foot, None if place == "-" else int(place))


def dance(table):
    """Name of the passage -> passage; "New York (right)" is a way of dancing the New York."""
    passages = {}
    for line in table.strip().splitlines():
        named, _, end = line.partition(" > ")
        *name, beats, start = named.split()
        name = " ".join(name)
        passages[name] = Passage(name.partition(" (")[0], stance(start), stance(end.strip()), int(beats))
    return passages


def report_of(table, row, bar_beats, taught=None):
    passages = dance(table)
    routine = [CORNER if name == "corner" else passages[name] for name in row.split(", ")]
    known = {passage.figure for passage in passages.values()}
    return check_routine(
        routine,
        floor=FLOOR,
        taught=known if taught is None else taught,
        bar_beats=bar_beats,
        words=replace(NAMES, slot=table is SWING),
    )


ROUTINES = {
    "one side of the room, waltz beginners": (
        WALTZ,
        "natural turn, right foot closed change, reverse turn, left foot closed change, natural turn, "
        "right foot closed change, reverse turn, balance, left foot closed change, natural turn",
        3,
        (48, 16, 2),
        0,
    ),
    "the next side, waltz improvers": (
        WALTZ,
        "corner, hesitation change, progressive chasse, back lock, natural turn (4-6), "
        "right foot closed change, reverse turn, whisk, chasse from promenade, natural spin turn, "
        "reverse turn (4-6), left foot closed change, natural turn",
        3,
        (48, 16, 2),
        0,
    ),
    "cha-cha beginners, three times changing hands": (
        CHA_CHA,
        "basic, New York, New York (right), New York, spot turn (right), hand to hand, "
        "hand to hand (right), hand to hand, spot turn (right), shoulder to shoulder, shoulder (right), "
        "basic, time step",
        4,
        (64, 16, 2),
        3,
    ),
    "swing beginners, figures running across the bar lines": (
        SWING,
        "sugar push, left side pass, underarm pass, sugar tuck, basic whip",
        4,
        (32, 8, 1),
        0,
    ),
}


@pytest.mark.parametrize(("table", "row", "bar_beats", "length", "changes"), ROUTINES.values(), ids=ROUTINES)
def test_a_routine_that_can_be_danced(table, row, bar_beats, length, changes):
    report = report_of(table, row, bar_beats)
    assert report.findings == ()
    assert (report.beats, report.bars, report.phrases) == length
    assert [join.status for join in report.joins].count("free change") == changes
    assert report.danceable == len(row.split(", "))


def test_the_second_side_goes_on_from_the_first_round_the_corner():
    first, second = list(ROUTINES.values())[:2]
    report = report_of(WALTZ, f"{first[1]}, {second[1]}", 3)
    assert report.findings == ()
    assert report.phrases == 4


WRONG = {
    "promenade against closed": (WALTZ, "whisk, natural turn", "whisk leaves you in promenade"),
    "the other foot is free": (
        WALTZ,
        "right foot closed change, natural turn",
        "with the leader's left foot free",
    ),
    "already on the other side of the slot": (
        SWING,
        "left side pass, left side pass",
        "with the follower at end 1",
    ),
    "no corner between them": (WALTZ, "natural turn, natural turn", "natural turn leaves you facing DC"),
    "the alemana begins in a fan": (
        CHA_CHA,
        "basic, alemana",
        "basic leaves you closed, alemana starts in fan",
    ),
}


@pytest.mark.parametrize(("table", "row", "reason"), WRONG.values(), ids=WRONG)
def test_what_cannot_be_danced_is_broken_for_its_reason(table, row, reason):
    (join,) = report_of(table, row, 3).joins
    assert join.status == "broken"
    assert reason in join.reason


def test_a_course_that_has_not_come_so_far_dances_the_opening():
    _, row, bar_beats, _, _ = ROUTINES["swing beginners, figures running across the bar lines"]
    report = report_of(SWING, row, bar_beats, taught={"sugar push", "left side pass", "sugar tuck"})
    assert report.danceable == 2
    assert [finding.sentence for finding in report.findings] == [
        "Underarm pass is not taught yet.",
        "Basic whip is not taught yet.",
    ]


def test_between_basic_and_alemana_half_a_basic_and_a_fan_are_missing():
    passages = dance(CHA_CHA)
    link = find_link(
        passages["basic"].exit,
        passages["alemana"].entry,
        list(passages.values()),
        floor=FLOOR,
        taught={"basic", "fan"},
    )
    assert link == (passages["basic (first bar)"], passages["fan"])
