"""Lesson dates follow from term, weekdays, rhythm and closures; a start keeps its time on the wall."""

from datetime import UTC, date, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lessons.rules.calendar import NoSuchTime, lesson_dates, local_start

LONDON = ZoneInfo("Europe/London")
NEW_YORK = ZoneInfo("America/New_York")
TUESDAY, THURSDAY = 1, 3
AUTUMN = (date(2026, 9, 14), date(2026, 12, 6))


def test_twelve_weeks_have_twelve_tuesdays():
    dates = lesson_dates(*AUTUMN, weekdays={TUESDAY})
    assert len(dates) == 12
    assert (dates[0], dates[-1]) == (date(2026, 9, 15), date(2026, 12, 1))


def test_a_day_without_class_is_left_out_and_nothing_takes_its_place():
    closed = {date(2026, 10, 20), date(2026, 10, 21)}
    dates = lesson_dates(*AUTUMN, weekdays={TUESDAY}, closed=closed)
    assert len(dates) == 11
    assert date(2026, 10, 20) not in dates


def test_two_evenings_a_week_come_in_order():
    dates = lesson_dates(date(2026, 9, 14), date(2026, 9, 27), weekdays=(THURSDAY, TUESDAY))
    assert dates == (date(2026, 9, 15), date(2026, 9, 17), date(2026, 9, 22), date(2026, 9, 24))


def test_the_first_and_the_last_day_belong_to_the_term():
    assert lesson_dates(date(2026, 9, 15), date(2026, 9, 15), weekdays={TUESDAY}) == (date(2026, 9, 15),)


def test_every_second_week_is_counted_from_the_week_of_the_first_day():
    thursday = date(2026, 9, 17)
    dates = lesson_dates(thursday, date(2026, 10, 4), weekdays={TUESDAY, THURSDAY}, interval_weeks=2)
    assert dates == (thursday, date(2026, 9, 29), date(2026, 10, 1))


def test_a_sunday_belongs_to_the_week_of_the_monday_before():
    sunday = date(2026, 9, 20)
    dates = lesson_dates(sunday, date(2026, 10, 4), weekdays={0, 6}, interval_weeks=2)
    assert dates == (sunday, date(2026, 9, 28), date(2026, 10, 4))


def test_a_term_that_ends_before_it_begins_or_never_meets_has_no_dates():
    assert lesson_dates(date(2026, 9, 15), date(2026, 9, 14), weekdays={TUESDAY}) == ()
    assert lesson_dates(*AUTUMN, weekdays=()) == ()


@pytest.mark.parametrize("weekday", [-1, 7])
def test_there_are_seven_weekdays(weekday):
    with pytest.raises(ValueError, match="Weekdays are numbers"):
        lesson_dates(*AUTUMN, weekdays={weekday})


@pytest.mark.parametrize("interval", [0, -2])
def test_a_rhythm_is_at_least_every_week(interval):
    with pytest.raises(ValueError, match="every so many weeks"):
        lesson_dates(*AUTUMN, weekdays={TUESDAY}, interval_weeks=interval)


def test_a_start_keeps_its_time_on_the_wall_over_a_change_of_clocks():
    before = local_start(date(2026, 10, 20), time(19, 30), LONDON)
    after = local_start(date(2026, 10, 27), time(19, 30), LONDON)
    assert before.time() == after.time() == time(19, 30)
    assert after.astimezone(UTC) - before.astimezone(UTC) == timedelta(days=7, hours=1)


def test_a_time_the_clocks_jump_over_is_refused_in_a_sentence():
    with pytest.raises(NoSuchTime) as caught:
        local_start(date(2027, 3, 28), time(1, 30), LONDON)
    assert str(caught.value) == (
        "There is no 01:30 on Sunday 28 March 2027 in Europe/London: "
        "the clocks go forward over it. Choose another start."
    )


def test_the_edges_of_the_jump_exist():
    assert local_start(date(2027, 3, 28), time(0, 59), LONDON).utcoffset() == timedelta(0)
    assert local_start(date(2027, 3, 28), time(2, 0), LONDON).utcoffset() == timedelta(hours=1)


def test_a_time_that_comes_twice_is_the_first_of_the_two():
    start = local_start(date(2026, 11, 1), time(1, 30), NEW_YORK)
    assert start.astimezone(UTC).time() == time(5, 30)


DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))
WEEKDAYS = st.frozensets(st.integers(0, 6))


@given(DAYS, st.integers(0, 120), WEEKDAYS, st.integers(1, 4), st.frozensets(DAYS, max_size=5))
def test_the_dates_are_exactly_the_days_a_calendar_would_be_ticked_on(
    first, length, weekdays, interval, closed
):
    last = first + timedelta(days=length)
    monday = first - timedelta(days=first.weekday())
    expected = [
        day
        for day in (first + timedelta(days=number) for number in range(length + 1))
        if day.weekday() in weekdays and (day - monday).days // 7 % interval == 0 and day not in closed
    ]
    assert (
        list(lesson_dates(first, last, weekdays=weekdays, interval_weeks=interval, closed=closed)) == expected
    )
