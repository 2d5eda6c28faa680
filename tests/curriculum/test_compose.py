"""A routine composed: exactly so long, every join held, as few repeats as can be, then the newest figures."""

from fractions import Fraction

import networkx as nx
import pytest
from hypothesis import given, settings

from curriculum.rules.chain import CORNER, UNKNOWN, Floor, Passage, Stance, check_routine, joins, stance_after
from curriculum.rules.compose import compose
from tests.curriculum.composing import cost_of, questions, rows_of

NO_CHANGES = Floor()
CLOSED_L, CLOSED_R = Stance("closed", "L"), Stance("closed", "R")
BOX = Passage("box", CLOSED_L, CLOSED_L, 6)
CHANGE_L = Passage("left change", CLOSED_L, CLOSED_R, 3)
CHANGE_R = Passage("right change", CLOSED_R, CLOSED_L, 3)
SWAY = Passage("sway", CLOSED_R, CLOSED_R, 3)
DANCE = (BOX, CHANGE_L, CHANGE_R, SWAY)


def composed(beats, *, passages=DANCE, start=CLOSED_L, floor=NO_CHANGES, taught=None, **more):
    known = {passage.figure for passage in passages} if taught is None else taught
    return compose(passages, start=start, beats=beats, floor=floor, taught=known, seconds=60, **more)


def figures(composition):
    return [item.figure for item in composition.passages if item is not CORNER]


def test_it_is_exactly_as_long_as_asked_and_comes_back_to_nothing_if_it_can():
    answer = composed(9)
    assert answer.status == "optimal"
    assert sum(passage.beats for passage in answer.passages) == 9
    assert answer.cost == answer.bound == (0, 0)


def test_a_figure_it_must_come_back_to_is_counted_and_proved():
    answer = composed(12, passages=(CHANGE_L, CHANGE_R))
    assert figures(answer) == ["left change", "right change", "left change", "right change"]
    assert answer.cost == answer.bound == (2, 0)


def test_no_figure_stands_more_often_in_a_row_than_it_bears():
    assert composed(12, passages=(BOX,)).status == "impossible"
    twice = composed(12, passages=(BOX,), in_a_row={"box": 2})
    assert figures(twice) == ["box", "box"]
    assert twice.cost == (0, 0)
    assert composed(18, passages=(BOX,), in_a_row={"box": 2}).status == "impossible"


def test_every_required_figure_is_in_and_none_that_is_to_be_avoided():
    assert "sway" in figures(composed(9, required=["sway"]))
    assert "sway" not in figures(composed(9, avoid=["sway"]))


def test_of_routines_without_more_repeats_one_with_the_newest_figures():
    answer = composed(9, newest=frozenset({"sway", "right change"}))
    assert answer.cost == (0, -2)
    assert {"sway", "right change"} <= set(figures(answer))


def test_a_repeat_weighs_more_than_all_of_the_newest():
    turn = Passage("turn", CLOSED_L, CLOSED_L, 6)
    answer = composed(12, passages=(*DANCE, turn), newest=frozenset({"right change", "left change"}))
    assert answer.cost == (0, -2)
    tempting = composed(
        9, passages=(CHANGE_L, CHANGE_R, SWAY), start=CLOSED_R, newest=frozenset({"left change"})
    )
    assert tempting.cost[0] == 0


def test_only_what_is_taught_is_danced():
    assert figures(composed(6, taught={"box"})) == ["box"]


def test_it_goes_on_from_where_the_couple_stands_and_ends_where_it_should():
    assert figures(composed(3, start=CLOSED_R)) in (["sway"], ["right change"])
    assert figures(composed(3, end=CLOSED_R)) == ["left change"]
    assert composed(3, start=Stance("fan", "L")).status == "impossible"


def test_a_free_change_may_come_before_the_first_figure_and_after_the_last():
    floor = Floor({"two-hand": {"closed"}, "closed": {"two-hand"}})
    answer = composed(6, start=Stance("two-hand", "L"), end=Stance("two-hand", "L"), floor=floor)
    assert answer.status == "optimal"


def test_an_empty_routine_is_one_where_it_joins():
    assert composed(0).passages == ()
    assert composed(0).cost == (0, 0)
    assert composed(0, end=CLOSED_L).status == "optimal"
    assert composed(0, end=CLOSED_R).status == "impossible"


def test_a_corner_lies_between_phrases_only_and_only_where_it_is_allowed():
    natural = Passage("natural turn", Stance("closed", "R", 1), Stance("closed", "R", 7), 6)
    spin = Passage("spin turn", Stance("closed", "R", 1), Stance("closed", "R", 3), 6)
    start = Stance("closed", "R", 1)
    assert composed(12, passages=(natural, spin), start=start).status == "impossible"
    cornered = composed(12, passages=(natural, spin), start=start, corner_every=6)
    assert cornered.passages == (natural, CORNER, spin)
    assert composed(12, passages=(natural, spin), start=start, corner_every=4).status == "impossible"


def test_give_is_used_where_a_figure_may_be_turned_a_little_more():
    first = Passage("turn", Stance("closed", "L", 0), Stance("closed", "L", 2), 3, give=1)
    second = Passage("step", Stance("closed", "L", 3), Stance("closed", "L", 0), 3)
    assert composed(6, passages=(first, second), start=Stance("closed", "L", 0)).status == "optimal"


def test_another_seed_is_another_proposal_as_good_and_the_same_seed_is_the_same():
    stance = Stance("closed", "L")
    passages = [Passage(f"step {letter}", stance, stance, 3) for letter in "abcdefgh"]
    answers = [composed(12, passages=passages, seed=seed) for seed in range(6)]
    assert {answer.cost for answer in answers} == {(0, 0)}
    assert len({answer.passages for answer in answers}) > 1
    assert answers == [composed(12, passages=passages, seed=seed) for seed in range(6)]


@pytest.mark.parametrize("beats", [-1, Fraction(1, 7)])
def test_a_length_that_cannot_be_is_refused_in_a_sentence(beats):
    with pytest.raises(ValueError, match="The length of a routine is a number of beats"):
        composed(beats)
    with pytest.raises(ValueError, match="from corner to corner"):
        composed(6, corner_every=beats)


def test_numbers_that_are_not_exact_are_refused():
    with pytest.raises(TypeError):
        composed(1.5)
    with pytest.raises(ValueError, match="box cannot stand -1 times in a row"):
        composed(6, in_a_row={"box": -1})


@settings(max_examples=400, deadline=None)
@given(questions())
def test_trying_every_row_finds_nothing_better(asked):
    rows = list(rows_of(asked))
    answer = compose(**asked, seconds=60)
    if not rows:
        assert answer.status == "impossible"
        assert answer.conflict
        assert (answer.passages, answer.cost, answer.bound) == ((), None, None)
        return
    assert answer.status == "optimal"
    assert answer.cost == answer.bound == min(cost_of(row, asked["newest"]) for row in rows)
    assert answer.cost == cost_of(answer.passages, asked["newest"])
    assert answer.passages in set(rows)


@settings(max_examples=200, deadline=None)
@given(questions())
def test_the_check_of_a_routine_finds_nothing_broken_in_what_was_composed(asked):
    answer = compose(**asked, seconds=60)
    report = check_routine(answer.passages, floor=asked["floor"], taught=asked["taught"], bar_beats=3)
    assert "broken" not in {join.status for join in report.joins}
    assert "untaught" not in {finding.kind for finding in report.findings}
    if answer.passages:
        assert report.beats == asked["beats"]
        assert report.danceable == len(answer.passages)


@settings(max_examples=150, deadline=None)
@given(questions())
def test_the_shortest_length_that_can_be_composed_is_a_shortest_path(asked):
    """Without required figures and corners, each figure as often in a row as one likes: networkx finds the
    same shortest length into the end."""
    free = asked | {"required": (), "corner_every": None, "in_a_row": dict.fromkeys("abcd", 20)}
    graph = nx.DiGraph()
    begin = (free["start"], 0)
    waiting, seen = [begin], {begin}
    while waiting:
        stance, give = waiting.pop()
        if free["end"] is None or joins(stance, free["end"], floor=free["floor"], give=give):
            graph.add_edge((stance, give), "end", beats=0)
        for passage in free["passages"]:
            usable = passage.figure in free["taught"] and passage.figure not in free["avoid"]
            if usable and joins(stance, passage.entry, floor=free["floor"], give=give):
                after = (stance_after(stance, passage), passage.give)
                known = graph.get_edge_data((stance, give), after, {"beats": passage.beats})["beats"]
                graph.add_edge((stance, give), after, beats=min(known, passage.beats))
                if after not in seen:
                    seen.add(after)
                    waiting.append(after)
    shortest = None
    if graph.has_node("end"):
        shortest = nx.shortest_path_length(graph, begin, "end", weight="beats")
    for halves in range(9):
        length = Fraction(halves, 2)
        possible = compose(**free | {"beats": length}, seconds=60).status == "optimal"
        if possible:
            assert shortest == length
            return
    assert shortest is None or shortest > 4


def test_everything_agrees_with_a_start_that_is_not_known():
    assert composed(3, start=UNKNOWN).status == "optimal"
