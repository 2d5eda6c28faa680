"""The free foot after standard figures: derived from the changes of weight, never typed.

Sources: the first foot of each waltz figure from encyclopedia articles and IDTA Associate theory, the rest
computed; five steps in a bar of cha-cha and eight in the jive basic as commonly published.
"""

import pytest

from curriculum.rules.chart import Step, free_foot_after
from curriculum.rules.steps import other_foot

# figure, leader's changes of weight, whether a touch follows, free foot after
FIGURES = [
    ("natural turn", "R L R L R L", False, "R"),
    ("right foot closed change", "R L R", False, "L"),
    ("left foot closed change", "L R L", False, "R"),
    ("whisk", "L R L", False, "R"),
    ("chasse from promenade", "R L R L", False, "R"),
    ("progressive chasse to the right", "L R L R", False, "L"),
    ("hesitation change, step 6 without weight", "R L R L R", True, "L"),
]


def steps_on(feet):
    return [Step(str(number), 12, foot, "step", "") for number, foot in enumerate(feet, start=1)]


def alternating(first, changes):
    feet = [first]
    while len(feet) < changes:
        feet.append(other_foot(feet[-1]))
    return feet


@pytest.mark.parametrize(("figure", "feet", "touch", "free"), FIGURES)
def test_the_other_foot_is_free_after_the_last_change_of_weight(figure, feet, touch, free):
    steps = steps_on(feet.split())
    if touch:
        steps.append(Step("6", 12, other_foot(steps[-1].foot), "touch", ""))
    assert free_foot_after(steps, feet[0]) == free


@pytest.mark.parametrize("first", ["L", "R"])
@pytest.mark.parametrize(
    ("figure", "changes", "swaps"), [("cha-cha basic bar", 5, True), ("jive basic", 8, False)]
)
def test_an_odd_number_of_changes_swaps_the_feet_and_an_even_one_does_not(figure, changes, swaps, first):
    free = free_foot_after(steps_on(alternating(first, changes)), first)
    assert free == (other_foot(first) if swaps else first)


def test_a_step_without_weight_leaves_the_same_foot_free():
    for action in ("touch", "tap", "point", "kick", "flick"):
        assert free_foot_after([Step("1", 12, "L", action, "")], "L") == "L"
