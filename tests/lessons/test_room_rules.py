"""What a room asks of a lesson, said in sentences; what tonight goes against is marked."""

import datetime as dt

import pytest

from lessons.rules.room import RoomTonight, odd_hour, room_rules


def rules(**tonight):
    usual = {
        "people_allowed": None,
        "people": 12,
        "allows_travelling": True,
        "dance": "waltz",
        "dance_travels": True,
        "music_off": None,
        "starts": dt.time(20, 0),
        "ends": dt.time(21, 0),
    }
    return {rule.sentence: rule.is_broken for rule in room_rules(RoomTonight(**(usual | tonight)))}


def test_a_room_that_asks_nothing_says_nothing():
    assert rules() == {}


@pytest.mark.parametrize(("allowed", "is_broken"), [(11, True), (12, False), (40, False)])
def test_more_people_than_allowed_are_marked(allowed, is_broken):
    said = f"People allowed: {allowed}; expected, with whoever teaches: 12."
    assert rules(people_allowed=allowed) == {said: is_broken}


def test_a_dance_that_travels_is_kept_on_the_spot_in_a_small_room():
    said = rules(allows_travelling=False)
    assert said == {"Too small for a dance that travels: keep the waltz nearly on the spot.": True}
    assert rules(allows_travelling=False, dance_travels=False) == {}


@pytest.mark.parametrize(
    ("off", "ends", "is_broken"),
    [
        (dt.time(21, 0), dt.time(21, 0), False),
        (dt.time(20, 45), dt.time(21, 0), True),
        (dt.time(23, 0), dt.time(0, 30), True),
    ],
)
def test_a_lesson_that_outlasts_the_music_is_marked(off, ends, is_broken):
    assert rules(music_off=off, ends=ends) == {f"Music off at {off:%H:%M}.": is_broken}


@pytest.mark.parametrize(
    ("starts", "is_odd"), [((3, 0), True), ((6, 59), True), ((7, 0), False), ((22, 0), False)]
)
def test_an_hour_at_which_nobody_dances_is_odd(starts, is_odd):
    """Common practice, no source: a class before seven in the morning is more likely a slip of the pen."""
    assert bool(odd_hour(dt.time(*starts))) == is_odd
