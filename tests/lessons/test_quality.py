"""How good a plan is, in the words the school reads."""

import pytest

from lessons.planners.term_values import AIMS
from lessons.rules.quality import called, quality


@pytest.mark.parametrize(
    ("status", "aims", "words"),
    [
        ("optimal", [("peak", 20, 20)], "best possible"),
        ("impossible", [], "not possible"),
        ("unknown", [], "no plan found in the time given"),
        ("feasible", [("left_out", 0, 0), ("peak", 103, 100)], "within 3 % of the best possible"),
        (
            "feasible",
            [("left_out", 0, 0), ("peak", 21, 20), ("order", 9, 1)],
            "within 5 % of the best possible",
        ),
        ("feasible", [("peak", 1001, 1000)], "within 1 % of the best possible"),
        (
            "feasible",
            [("left_out", 0, 0), ("late_reviews", 2, 0), ("peak", 30, 12)],
            "not proved best: lessons that reviews come early or late, 2 now, perhaps fewer",
        ),
    ],
)
def test_the_first_aim_that_is_not_proved_says_how_far_the_best_may_be(status, aims, words):
    assert quality(status, aims) == words


@pytest.mark.parametrize("aim", AIMS)
def test_every_aim_has_words(aim):
    assert called(aim)
