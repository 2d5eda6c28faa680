"""Two lessons at one time: of one course, in one room, under one instructor."""

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.clashes import Booking, Taken, clashes, clashes_of_all

EVENING = dt.datetime(2026, 1, 6, 19, 30)
EDDA, TOBIN = (1, "Edda"), (2, "Tobin")
WALTZ = Booking(1, 10, "Waltz", EVENING, 60, "Long Room", frozenset({EDDA}))
SWING = Booking(2, 20, "Swing", EVENING, 60, "Loft", frozenset({TOBIN}))


def taken(booking, *others):
    return [(clash.taken, clash.who) for clash in clashes(booking, others)]


def test_two_lessons_that_share_nothing_do_not_clash():
    assert taken(WALTZ, SWING) == []


def test_a_room_an_instructor_and_a_course_are_each_had_once_at_a_time():
    assert taken(WALTZ, replace(SWING, room="Long Room")) == [(Taken.ROOM, "Long Room")]
    assert taken(WALTZ, replace(SWING, instructors=frozenset({EDDA, TOBIN}))) == [(Taken.INSTRUCTOR, "Edda")]
    assert taken(WALTZ, replace(SWING, course=10)) == [(Taken.COURSE, "Swing")]


def test_two_people_of_one_name_are_two_people():
    namesake = frozenset({(3, "Edda")})
    assert taken(WALTZ, replace(SWING, instructors=namesake)) == []


def test_two_new_courses_without_a_key_are_not_one_course():
    assert taken(replace(WALTZ, key=None, course=None), replace(SWING, course=None)) == []


def test_a_lesson_does_not_clash_with_itself():
    assert taken(WALTZ, replace(WALTZ, begins=EVENING + dt.timedelta(minutes=15))) == []


@pytest.mark.parametrize(
    ("minutes", "is_taken"), [(-60, False), (-59, True), (0, True), (59, True), (60, False)]
)
def test_they_clash_if_they_share_a_minute(minutes, is_taken):
    other = replace(SWING, room="Long Room", begins=EVENING + dt.timedelta(minutes=minutes))
    assert bool(taken(WALTZ, other)) == is_taken


def test_a_late_lesson_runs_into_the_next_day():
    late = replace(SWING, room="Long Room", begins=dt.datetime(2026, 1, 6, 23, 30), minutes=90)
    early = replace(WALTZ, begins=dt.datetime(2026, 1, 7, 0, 30))
    assert [clash.taken for clash in clashes_of_all([early], [late])] == [Taken.ROOM]


BOOKINGS = st.lists(
    st.builds(
        Booking,
        key=st.integers(1, 50),
        course=st.integers(1, 4),
        course_name=st.just("Waltz"),
        begins=st.datetimes(dt.datetime(2026, 1, 5), dt.datetime(2026, 1, 9)),
        minutes=st.integers(1, 240),
        room=st.sampled_from(["Long Room", "Loft"]),
        instructors=st.frozensets(st.sampled_from([EDDA, TOBIN])),
    ),
    unique_by=lambda booking: booking.key,
    max_size=12,
)


@given(BOOKINGS)
def test_looking_at_the_days_beside_finds_what_looking_at_all_would(bookings):
    everything = [clash for booking in bookings for clash in clashes(booking, bookings)]
    assert set(clashes_of_all(bookings, bookings)) == set(everything)
    mirrored = {(clash.taken, clash.other.key, clash.booking.key) for clash in everything}
    assert mirrored == {(clash.taken, clash.booking.key, clash.other.key) for clash in everything}
