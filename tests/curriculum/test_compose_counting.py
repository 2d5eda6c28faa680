"""Composing by counting: dances of full size proved, HiGHS as a second opinion, and counts put in order."""

import random
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from curriculum.rules.chain import Floor, Passage, Stance, check_routine, joins
from curriculum.rules.compose import compose
from tests.curriculum.composing import cost_of, rows_of

FLOOR = Floor({"closed": {"open"}, "open": {"closed"}})
STANCES = [Stance(hold, foot, place) for hold in ("closed", "open") for foot in "LR" for place in (1, 7)]


def dance(seed, *, lengths=(4, 6, 8), figures=30, beats=160, required=6):
    """A dance in which nearly every figure has to be used, of which a few bear two in a row."""
    chance = random.Random(seed)
    passages = [
        Passage(f"figure {number}", chance.choice(STANCES), chance.choice(STANCES), beats_of_it)
        for number in range(figures)
        for beats_of_it in [chance.choice(lengths)]
        for _ in range(chance.randint(1, 4))
    ]
    names = sorted({passage.figure for passage in passages})
    return {
        "passages": passages,
        "floor": FLOOR,
        "taught": set(names),
        "beats": beats,
        "start": chance.choice(STANCES),
        "end": chance.choice(STANCES) if chance.random() < 0.5 else None,
        "required": chance.sample(names, required),
        "newest": frozenset(chance.sample(names, 5)),
    }


def least_by_highs(asked):
    """What no routine of the question can cost less than, as one number, by HiGHS: of every passage as often
    as one likes, as many into a stance as out of it, a free change counted as a way between stances.

    That no figure follows itself, and that all hangs together, is not asked: it may be less than the true
    cost. None where even so nothing is possible.
    """
    passages = list(dict.fromkeys(asked["passages"]))
    names = sorted({passage.figure for passage in passages})
    again = len(asked["newest"]) + 1
    # One variable a passage, then one for each pair of passages that join, with the start and the end.
    pairs = [
        (before, after)
        for before in (None, *range(len(passages)))
        for after in (None, *range(len(passages)))
        if leads(asked, passages, before, after)
    ]
    times, appears = len(passages), len(names)
    size = times + len(pairs) + appears
    rows, low, high = [], [], []

    def demand(terms, least, most):
        row = np.zeros(size)
        for column, weight in terms:
            row[column] += weight
        rows.append(row)
        low.append(least)
        high.append(most)

    demand([(column, float(passage.beats)) for column, passage in enumerate(passages)], *2 * [asked["beats"]])
    for end in (0, 1):
        for number in (None, *range(times)):
            ways = [(times + column, 1) for column, pair in enumerate(pairs) if pair[end] == number]
            danced = [] if number is None else [(number, -1)]
            demand([*ways, *danced], *2 * [1 if number is None else 0])
    for place, name in enumerate(names):
        column = times + len(pairs) + place
        ways = [(number, 1) for number, passage in enumerate(passages) if passage.figure == name]
        demand([*ways, (column, -1)], 0, np.inf)
    cost = np.concatenate([np.full(times, again), np.zeros(len(pairs)), np.zeros(appears)])
    floor = np.zeros(size)
    ceiling = np.full(size, float(asked["beats"]))
    for place, name in enumerate(names):
        column = times + len(pairs) + place
        cost[column] = -again - (name in asked["newest"])
        floor[column], ceiling[column] = name in asked["required"], 1
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(floor, ceiling),
        integrality=np.ones(size),
    )
    return round(found.fun) if found.success else None


def leads(asked, passages, before, after):
    """Whether the passage may stand before the other; None stands for the start and for the end."""
    if after is None:
        end = asked["end"]
        stance = asked["start"] if before is None else passages[before].exit
        return before is not None and (end is None or joins(stance, end, floor=FLOOR))
    if before is None:
        return joins(asked["start"], passages[after].entry, floor=FLOOR)
    alike = passages[before].figure == passages[after].figure
    return not alike and joins(passages[before].exit, passages[after].entry, floor=FLOOR)


@pytest.mark.parametrize("seed", range(8))
def test_highs_finds_nothing_cheaper(seed):
    asked = dance(seed)
    answer = compose(**asked, seconds=60)
    least = least_by_highs(asked)
    if answer.status == "impossible":
        assert answer.conflict
        return
    repeats, newest = answer.cost
    assert answer.status == "optimal"
    assert least is not None
    assert least <= repeats * (len(asked["newest"]) + 1) + newest
    # As many repeats as even the freer question has: so these are proved twice.
    assert -(-least // (len(asked["newest"]) + 1)) == repeats


def test_both_come_back_to_figures_in_some_of_these_dances_and_to_none_in_others():
    answers = [compose(**dance(seed), seconds=60) for seed in range(8)]
    assert {answer.cost[0] > 0 for answer in answers if answer.cost} == {True, False}


@pytest.mark.parametrize("seed", range(4))
def test_a_full_evening_of_figures_is_proved_and_every_join_of_it_holds(seed):
    asked = dance(seed, figures=40, beats=256, required=8)
    answer = compose(**asked, seconds=60)
    assert answer.status == "optimal"
    report = check_routine(answer.passages, floor=FLOOR, taught=asked["taught"], bar_beats=4)
    assert report.beats == 256
    assert {join.status for join in report.joins} <= {"holds", "free change"}
    assert set(asked["required"]) <= {passage.figure for passage in answer.passages}
    assert all(before.figure != after.figure for before, after in pairwise(answer.passages))
    assert answer.cost == cost_of(answer.passages, asked["newest"])


def test_more_than_fourteen_required_figures_are_proved_too():
    asked = dance(1, figures=40, beats=256, required=20)
    answer = compose(**asked, seconds=60)
    assert answer.status == "optimal"
    assert set(asked["required"]) <= {passage.figure for passage in answer.passages}
    assert compose(**asked | {"beats": 40}, seconds=60).status == "impossible"


@pytest.mark.parametrize("beats", range(2, 9))
def test_where_the_cheapest_counts_have_no_order_another_count_is_found(beats):
    """At four beats a turn and both ways through the basic come back to one figure only, but whatever
    their order, the basics stand side by side."""
    left, right = Stance("closed", "L"), Stance("closed", "R")
    asked = {
        "passages": [
            Passage("turn", right, left, 1),
            Passage("turn", left, right, 1),
            Passage("basic", left, right, 2),
            Passage("basic", right, left, 1),
        ],
        "start": left,
        "end": None,
        "beats": beats,
        "floor": Floor(),
        "taught": {"turn", "basic"},
        "required": [],
        "avoid": (),
        "newest": frozenset(),
        "in_a_row": {},
    }
    rows = list(rows_of(asked))
    answer = compose(**asked, seconds=60)
    if rows:
        assert answer.passages in rows
        assert answer.cost == min(cost_of(row, frozenset()) for row in rows)
    else:
        assert answer.status == "impossible"


def test_what_is_danced_apart_from_the_start_is_tied_to_it():
    """Four figures each from a hold and back to it, but only one way from the first hold to the second."""
    closed, fan = Stance("closed", "L"), Stance("fan", "L")
    apart = [Passage(f"fan figure {letter}", fan, fan, 4) for letter in "abcd"]
    here = [Passage("basic", closed, closed, 4), Passage("box", closed, closed, 4)]
    asked = {"start": closed, "end": closed, "beats": 16, "floor": Floor(), "seconds": 60}
    names = {passage.figure for passage in (*apart, *here)} | {"to fan", "from fan"}
    cut_off = compose((*apart, *here), taught=names, **asked)
    assert cut_off.cost == (2, 0)
    assert {passage.figure for passage in cut_off.passages} == {"basic", "box"}
    bridge = [Passage("to fan", closed, fan, 4), Passage("from fan", fan, closed, 4)]
    joined = compose((*apart, *here, *bridge), taught=names, **asked)
    assert joined.cost == (0, 0)


def test_with_no_time_at_all_there_is_still_a_sound_routine():
    asked = dance(0)
    answer = compose(**asked, seconds=0)
    assert answer.status in ("feasible", "optimal")
    report = check_routine(answer.passages, floor=FLOOR, taught=asked["taught"], bar_beats=4)
    assert report.beats == asked["beats"]
    assert "broken" not in {join.status for join in report.joins}
    assert answer.bound <= answer.cost
