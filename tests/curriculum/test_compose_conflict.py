"""Why no routine can be composed: the demands that clash, and none that could be spared."""

from hypothesis import given, settings

from curriculum.rules.chain import Floor, Passage, Stance, Words
from curriculum.rules.compose import compose, possible, question, without
from curriculum.rules.compose_conflict import demands
from curriculum.rules.wording import PLAIN_WORDS
from tests.curriculum.composing import questions, rows_of

CLOSED_L, CLOSED_R = Stance("closed", "L"), Stance("closed", "R")
BOX = Passage("box", CLOSED_L, CLOSED_L, 6)
CHANGE_L = Passage("left change", CLOSED_L, CLOSED_R, 3)
CHANGE_R = Passage("right change", CLOSED_R, CLOSED_L, 3)
FAN = Passage("alemana", Stance("fan", "L"), CLOSED_L, 6)
DANCE = (BOX, CHANGE_L, CHANGE_R, FAN)


def conflict(beats, *, taught=("box", "left change", "right change", "alemana"), **more):
    answer = compose(DANCE, start=CLOSED_L, beats=beats, floor=Floor(), taught=taught, seconds=60, **more)
    assert answer.status == "impossible"
    assert (answer.passages, answer.cost, answer.bound) == ((), None, None)
    return answer.conflict


def kinds(found):
    return [(demand.kind, demand.figure) for demand in found]


def test_a_required_figure_that_is_not_taught():
    (demand,) = conflict(6, taught={"box"}, required=["left change"])
    assert (demand.kind, demand.figure) == ("untaught", "left change")
    assert demand.sentence == "Left change must be in it and is not taught yet."


def test_a_required_figure_that_is_to_be_avoided():
    (demand,) = conflict(6, required=["box"], avoid=["box"])
    assert demand.sentence == "Box must be in it and is to be avoided."


def test_a_required_figure_without_a_way_through_it():
    (demand,) = conflict(6, required=["spin"], taught={"spin", "box"})
    assert demand.sentence == "Spin must be in it and has no way in and out."


def test_a_length_that_no_row_of_figures_has():
    (demand,) = conflict(7)
    assert (demand.kind, demand.sentence) == ("beats", "It must be exactly 7 beats long.")


def test_a_figure_nothing_leads_into_needs_another_start():
    assert kinds(conflict(12, required=["alemana"])) == [("required", "alemana"), ("start", "")]


def test_a_figure_that_does_not_bear_so_many_in_a_row():
    assert kinds(conflict(12, taught={"box"})) == [
        ("beats", ""),
        ("start", ""),
        ("untaught", "right change"),
        ("in a row", "box"),
    ]


def test_an_end_that_cannot_be_reached_in_that_length():
    assert kinds(conflict(6, end=CLOSED_R)) == [("beats", ""), ("start", ""), ("end", "")]


def test_figures_have_their_names_in_the_sentences():
    words = Words(figures={"box": "Box Step"})
    answer = compose(DANCE, start=CLOSED_L, beats=6, floor=Floor(), taught=(), required=["box"], words=words)
    assert answer.conflict[0].sentence == "Box Step must be in it and is not taught yet."


def asked_of(answer, asked):
    """The question with only the demands of the conflict left in it."""
    rest = question(**asked)
    for demand in demands(rest, PLAIN_WORDS):
        if demand not in answer.conflict:
            rest = without(rest, demand)
    return rest


@settings(max_examples=300, deadline=None)
@given(questions())
def test_the_demands_named_clash_and_do_not_without_any_one_of_them(asked):
    answer = compose(**asked, seconds=60)
    if answer.status != "impossible":
        assert answer.conflict == ()
        return
    at_once = set(asked["required"]) & set(asked["avoid"])
    there = {passage.figure for passage in asked["passages"]}
    if at_once or not set(asked["required"]) <= there:
        assert len(answer.conflict) == 1
        assert answer.conflict[0].figure in asked["required"]
        return
    rest = asked_of(answer, asked)
    assert not possible(rest)
    for demand in answer.conflict:
        assert possible(without(rest, demand)), demand


@settings(max_examples=300, deadline=None)
@given(questions())
def test_possible_is_what_trying_every_row_says(asked):
    assert possible(question(**asked)) == (next(rows_of(asked), None) is not None)
