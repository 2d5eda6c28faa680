"""A second opinion on composed routines: the same question as a model for CP-SAT, a row of slots to fill.

Sizes at which it can prove its answer; the model shares nothing with the composer but the rule of joins.
"""

import random

import pytest
from ortools.sat.python import cp_model

from curriculum.rules.chain import Floor, Passage, Stance, joins
from curriculum.rules.compose import compose

FLOOR = Floor({"closed": {"open"}, "open": {"closed"}})
BEATS = 24


def question(seed):
    chance = random.Random(seed)
    stances = [Stance(hold, foot) for hold in ("closed", "promenade", "open") for foot in "LR"]
    passages = []
    for letter in "abcdefgh":
        beats = chance.choice([2, 3, 4])
        for _ in range(chance.randint(1, 2)):
            passages.append(Passage(letter, chance.choice(stances), chance.choice(stances), beats))
    return {
        "passages": passages,
        "start": chance.choice(stances),
        "beats": BEATS,
        "floor": FLOOR,
        "taught": set("abcdefgh"),
        "required": chance.sample("abcdefgh", 2),
        "newest": frozenset(chance.sample("abcdefgh", 3)),
    }


def least_cost(asked):
    """The least cost by CP-SAT, or None where it proves that there is no routine."""
    model = cp_model.CpModel()
    passages = list(dict.fromkeys(asked["passages"]))
    slots = BEATS // 2
    danced = [[model.new_bool_var("") for _ in passages] for _ in range(slots)]
    for slot, row in enumerate(danced):
        model.add_at_most_one(row)
        if slot:
            model.add(sum(row) <= sum(danced[slot - 1]))
        for number, passage in enumerate(passages):
            if not slot and not joins(asked["start"], passage.entry, floor=FLOOR):
                model.add(row[number] == 0)
            for before, earlier in enumerate(passages):
                alike = earlier.figure == passage.figure
                if slot and (alike or not joins(earlier.exit, passage.entry, floor=FLOOR)):
                    model.add_at_most_one(danced[slot - 1][before], row[number])
    every = [(variable, passage) for row in danced for variable, passage in zip(row, passages, strict=True)]
    model.add(sum(int(passage.beats) * variable for variable, passage in every) == BEATS)
    appears = {}
    for figure in asked["taught"]:
        times = sum(variable for variable, passage in every if passage.figure == figure)
        appears[figure] = model.new_bool_var("")
        model.add(times >= 1).only_enforce_if(appears[figure])
        model.add(times == 0).only_enforce_if(appears[figure].negated())
    for figure in asked["required"]:
        model.add(appears[figure] == 1)
    repeats = sum(variable for variable, _ in every) - sum(appears.values())
    model.minimize(10 * repeats - sum(appears[figure] for figure in asked["newest"]))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return None if status == cp_model.INFEASIBLE else round(solver.objective_value)


@pytest.mark.parametrize("seed", range(12))
def test_cp_sat_proves_the_same_cost(seed):
    asked = question(seed)
    answer = compose(**asked, seconds=60)
    least = least_cost(asked)
    if least is None:
        assert answer.status == "impossible"
    else:
        assert answer.status == "optimal"
        assert 10 * answer.cost[0] + answer.cost[1] == least


def test_there_are_routines_with_and_without_repeats_and_none_at_all_among_them():
    answers = [compose(**question(seed), seconds=60) for seed in range(12)]
    assert {answer.status for answer in answers} == {"optimal", "impossible"}
    assert {answer.cost[0] > 0 for answer in answers if answer.cost} == {True, False}
