"""What a cell of the grid may hold."""

import pytest

from curriculum.chart_cells import read_action, read_foot, read_hold, read_length, read_turn
from curriculum.chart_grid import KEYS, Row, empty_row, grid_of
from curriculum.models import ChartStep


@pytest.mark.parametrize(
    ("text", "eighths"),
    [
        ("", 0),
        ("-", 0),
        ("2", 2),
        ("+2", 2),
        ("-3", -3),
        ("−3", -3),
        ("¼ left", -2),
        ("1/4 R", 2),
        ("⅜ r", 3),
        ("1 right", 8),
        ("1 1/2 to the left", -12),
    ],
)
def test_a_turn_is_read_in_eighths_or_in_words(text, eighths):
    assert read_turn(text) == eighths


@pytest.mark.parametrize("text", ["1/3 right", "33", "1/0 left", "¼", "left"])
def test_what_is_no_turn_is_refused(text):
    with pytest.raises(ValueError, match="turn"):
        read_turn(text)


def test_words_are_read_whatever_their_case():
    assert (read_foot(" left "), read_foot("r"), read_action("STEP")) == ("L", "R", "step")
    assert read_hold("pr", {"pr": "promenade"}) == "promenade"
    assert read_length(" 6 ") == 6


def test_roles_with_other_lengths_meet_in_one_grid():
    leader = [ChartStep(role="L", count="S", ticks=24, foot="L", action="step")]
    follower = [
        ChartStep(role="F", count=count, ticks=12, foot=foot, action="step")
        for count, foot in (("Q", "R"), ("q", "L"))
    ]
    rows = grid_of([*leader, *follower]).rows
    assert [(row.cells["count"], row.cells["ticks"]) for row in rows] == [("S", "12"), ("q", "12")]
    assert rows[1].cells["leader_action"] == ""


def test_an_empty_row_is_empty():
    assert empty_row().is_empty
    assert not Row(dict.fromkeys(KEYS, "") | {"cue": "x"}).is_empty
