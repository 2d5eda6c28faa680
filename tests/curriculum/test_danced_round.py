"""A routine composed to be danced again from its start: its last figure leads into its first."""

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from curriculum.rules.chain import UNKNOWN, Floor, Passage, Stance, check_routine
from curriculum.rules.compose import question
from curriculum.rules.danced_round import compose_round
from tests.curriculum.composing import cost_of, questions, rows_of

NO_CHANGES = Floor()
CLOSED_L, CLOSED_R, OPEN_L = Stance("closed", "L"), Stance("closed", "R"), Stance("open", "L")
BOX = Passage("box", CLOSED_L, CLOSED_L, 6)
CHANGE_L = Passage("left change", CLOSED_L, CLOSED_R, 3)
CHANGE_R = Passage("right change", CLOSED_R, CLOSED_L, 3)
TURN = Passage("turn", OPEN_L, OPEN_L, 3)
# Stances of which everything is known: then whether there is one is exact.
KNOWN = st.builds(Stance, st.sampled_from(["closed", "two-hand"]), st.sampled_from("LR"))


def composed(passages, beats, *, floor=NO_CHANGES, start=UNKNOWN, seed=1):
    known = {passage.figure for passage in passages}
    asked = {"start": start, "beats": beats, "floor": floor, "taught": known, "corner_every": None}
    asked |= {"required": (), "avoid": (), "newest": (), "in_a_row": {}}
    return compose_round(question(passages, **asked, end=None), seconds=60, seed=seed)


def round_of(asked):
    return compose_round(question(**asked | {"end": None}), seconds=60)


def comes_round(row, asked):
    """The row danced twice has no broken join."""
    twice = check_routine((*row, *row), floor=asked["floor"], taught=asked["taught"], bar_beats=1)
    return all(join.status != "broken" for join in twice.joins)


def figures(answer):
    return [passage.figure for passage in answer.passages]


def test_it_begins_anyhow_and_ends_where_it_began():
    """Nine beats go from left to right foot unless the box is danced."""
    answer = composed((BOX, CHANGE_L, CHANGE_R), 12)
    assert answer.status == "optimal"
    assert sorted(figures(answer)) == ["box", "left change", "right change"]


def test_there_is_none_where_every_row_ends_on_the_other_foot():
    answer = composed((CHANGE_L, CHANGE_R), 9)
    assert (answer.status, answer.passages) == ("impossible", ())
    said = [demand.sentence for demand in answer.conflict]
    assert said == [
        "It must be exactly 9 beats long.",
        "It must lead into its own start, to be danced again.",
    ]


def test_where_there_is_none_at_all_that_it_comes_round_is_not_named():
    answer = composed((BOX,), 7)
    assert [demand.kind for demand in answer.conflict] == ["beats"]


def test_a_change_of_hold_before_its_first_figure_is_not_taken_for_one_after_its_last():
    """From two hands either of the others is a change away, but not one of them from the other."""
    held = Stance("two-hand", "L")
    floor = Floor({"two-hand": {"closed", "open"}, "open": {"two-hand"}})
    across = Passage("across", CLOSED_L, OPEN_L, 3)
    answer = composed((across,), 3, floor=floor, start=held)
    assert answer.status == "impossible"


def test_the_same_seed_is_the_same_answer():
    dance = (BOX, CHANGE_L, CHANGE_R, TURN)
    assert composed(dance, 12, seed=5) == composed(dance, 12, seed=5)


@settings(max_examples=100, deadline=None)
@given(
    questions(),
    st.lists(st.builds(Passage, st.sampled_from("abcde"), KNOWN, KNOWN, st.integers(1, 3)), max_size=6),
)
def test_where_every_stance_is_known_trying_every_row_finds_nothing_better(asked, passages):
    asked |= {"passages": passages, "end": None, "corner_every": None, "start": UNKNOWN}
    asked["beats"] = asked["beats"] or Fraction(2)
    rows = [row for row in rows_of(asked) if row and comes_round(row, asked)]
    answer = round_of(asked)
    if not rows:
        assert answer.status == "impossible"
        return
    assert answer.status == "optimal"
    assert answer.cost == answer.bound == min(cost_of(row, asked["newest"]) for row in rows)
    assert answer.passages in rows


@settings(max_examples=150, deadline=None)
@given(questions())
def test_whatever_is_not_known_what_is_composed_can_be_danced_twice(asked):
    asked["beats"] = asked["beats"] or Fraction(2)
    rows = [row for row in rows_of(asked | {"end": None}) if row and comes_round(row, asked)]
    answer = round_of(asked)
    if answer.passages:
        assert answer.passages in rows
    if answer.status == "impossible":
        assert not rows
