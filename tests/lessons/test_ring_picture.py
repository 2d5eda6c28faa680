"""The picture of the ring agrees with the rounds: whoever moves goes clockwise to the next partner."""

import math

from hypothesis import given
from hypothesis import strategies as st

from lessons.evening.ring_picture import ring_picture
from lessons.rules.evening_rotation import Dancer, Hall, rotate


def hall(leaders, followers, followers_move):
    people = [Dancer(number, f"{number:03}", "L") for number in range(leaders)]
    people += [Dancer(100 + number, str(100 + number), "F") for number in range(followers)]
    return Hall(tuple(people), followers_move=followers_move)


def angle(picture, mark):
    return math.atan2(mark.y - picture.middle, mark.x - picture.middle)


@given(st.integers(1, 20), st.integers(1, 20), st.booleans())
def test_the_arrow_tells_the_truth(leaders, followers, followers_move):
    made = rotate(hall(leaders, followers, followers_move), 2)
    picture = ring_picture(made, followers_move=followers_move)
    if max(leaders, followers) < 3:
        return
    spot = {mark.label: angle(picture, mark) for mark in picture.marks if mark.role != "gap"}
    for lead, follow in made.rounds[1].couples:
        mover, stays = (follow, lead) if followers_move else (lead, follow)
        onwards = (spot[stays.name] - spot[mover.name]) % math.tau
        assert math.isclose(onwards, math.tau / max(leaders, followers), abs_tol=0.02)


@given(st.integers(1, 20), st.integers(1, 20), st.booleans())
def test_everybody_and_every_gap_is_drawn_inside_the_picture_and_said(leaders, followers, followers_move):
    picture = ring_picture(rotate(hall(leaders, followers, followers_move), 1), followers_move=followers_move)
    if max(leaders, followers) < 2:
        assert picture is None
        return
    roles = [mark.role for mark in picture.marks]
    assert (roles.count("L"), roles.count("F")) == (leaders, followers)
    assert roles.count("gap") == abs(leaders - followers)
    assert all(20 <= value <= picture.size - 20 for mark in picture.marks for value in (mark.x, mark.y))
    assert len(picture.words) == max(leaders, followers)


def test_a_role_without_anybody_has_no_ring():
    assert ring_picture(rotate(hall(4, 0, True), 2), followers_move=True) is None


def test_a_latecomer_is_drawn_as_one_and_a_guest_by_number():
    people = (Dancer(1, "Ada", "L"), Dancer(2, "Beatrix", "L", from_round=2), Dancer(-3, "guest 3", "F"))
    marks = ring_picture(rotate(Hall(people), 2), followers_move=True).marks
    assert {(mark.label, mark.late) for mark in marks} == {
        ("Ada", False),
        ("Bea", True),
        ("", False),
        ("g3", False),
    }
