"""Lesson dates against dateutil's reading of RFC 5545, and clock changes against the IANA time zones.

Sources: the worked examples of RFC 5545, section 3.8.5.3 (09:00 America/New_York), with the dates printed
there; exclusions as in section 3.8.5.1. The instants over the clock changes of 2026 are computed from the
IANA rules for Europe/London and America/New_York. Weeks begin on Monday in ISO 8601 and here.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import WEEKLY, rrule, rruleset, rrulestr
from hypothesis import given, settings
from hypothesis import strategies as st

from lessons.rules.calendar import lesson_dates, local_start

TUESDAY, THURSDAY = 1, 3

# weekdays, interval in weeks, dates printed in RFC 5545, all from 1997-09-02 on
PRINTED = [
    ({TUESDAY}, 1, "09-02 09-09 09-16 09-23 09-30 10-07 10-14 10-21 10-28 11-04"),
    ({TUESDAY, THURSDAY}, 2, "09-02 09-04 09-16 09-18 09-30 10-02 10-14 10-16"),
    ({TUESDAY, THURSDAY}, 1, "09-02 09-04 09-09 09-11 09-16 09-18 09-23 09-25 09-30 10-02"),
]
RULES = [
    "RRULE:FREQ=WEEKLY;COUNT=10",
    "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=8;BYDAY=TU,TH;WKST=SU",
    "RRULE:FREQ=WEEKLY;COUNT=10;BYDAY=TU,TH;WKST=SU",
]


def printed_dates(row):
    return tuple(date.fromisoformat(f"1997-{month_and_day}") for month_and_day in row.split())


def dates_by_rrule(first, last, weekdays, interval, closed):
    """The same dates by dateutil: a weekly rule with the closures as EXDATEs."""
    dates = rruleset()
    dates.rrule(
        rrule(
            WEEKLY,
            dtstart=datetime.combine(first, time()),
            until=datetime.combine(last, time()),
            interval=interval,
            byweekday=sorted(weekdays),
            wkst=0,
        )
    )
    for day in closed:
        dates.exdate(datetime.combine(day, time()))
    return tuple(moment.date() for moment in dates)


@pytest.mark.parametrize(("weekdays", "interval", "printed"), PRINTED)
def test_the_printed_dates_come_out(weekdays, interval, printed):
    dates = printed_dates(printed)
    assert lesson_dates(dates[0], dates[-1], weekdays=weekdays, interval_weeks=interval) == dates


@pytest.mark.parametrize(("rule", "row"), list(zip(RULES, PRINTED, strict=True)))
def test_dateutil_reads_the_printed_rules_the_same_way(rule, row):
    weekdays, interval, printed = row
    by_rule = tuple(moment.date() for moment in rrulestr(rule, dtstart=datetime(1997, 9, 2, 9)))
    assert by_rule == printed_dates(printed)
    assert by_rule == lesson_dates(by_rule[0], by_rule[-1], weekdays=weekdays, interval_weeks=interval)


@pytest.mark.parametrize(("weekdays", "interval", "printed"), PRINTED)
def test_a_closure_is_an_exdate(weekdays, interval, printed):
    dates = printed_dates(printed)
    closed = {dates[2], dates[-1], date(1997, 9, 7)}
    ours = lesson_dates(dates[0], dates[-1], weekdays=weekdays, interval_weeks=interval, closed=closed)
    assert ours == dates_by_rrule(dates[0], dates[-1], weekdays, interval, closed)
    assert ours == tuple(day for day in dates if day not in closed)


DAYS = st.dates(date(2024, 1, 1), date(2028, 12, 31))


@settings(deadline=None)
@given(
    DAYS,
    st.integers(0, 100),
    st.frozensets(st.integers(0, 6), min_size=1),
    st.integers(1, 3),
    st.frozensets(st.integers(0, 100), max_size=6),
)
def test_any_term_has_the_dates_dateutil_gives(first, length, weekdays, interval, closed_after):
    last = first + timedelta(days=length)
    closed = {first + timedelta(days=days) for days in closed_after}
    ours = lesson_dates(first, last, weekdays=weekdays, interval_weeks=interval, closed=closed)
    assert ours == dates_by_rrule(first, last, weekdays, interval, closed)


@pytest.mark.parametrize(
    ("zone", "day", "instant"),
    [
        ("Europe/London", date(2026, 10, 20), datetime(2026, 10, 20, 18, 30, tzinfo=UTC)),
        ("Europe/London", date(2026, 10, 27), datetime(2026, 10, 27, 19, 30, tzinfo=UTC)),
        ("America/New_York", date(2026, 10, 27), datetime(2026, 10, 27, 23, 30, tzinfo=UTC)),
        ("America/New_York", date(2026, 11, 3), datetime(2026, 11, 4, 0, 30, tzinfo=UTC)),
    ],
)
def test_half_past_seven_stays_half_past_seven(zone, day, instant):
    start = local_start(day, time(19, 30), ZoneInfo(zone))
    assert start.astimezone(UTC) == instant
    assert (start.date(), start.time()) == (day, time(19, 30))


def test_weeks_run_from_monday_to_sunday_over_the_end_of_a_long_year():
    """ISO 8601: 2026 has 53 weeks; 2026-12-28 W53-1, 2027-01-03 W53-7, 2027-01-04 W01-1 (computed)."""
    monday, sunday, next_monday = date(2026, 12, 28), date(2027, 1, 3), date(2027, 1, 4)
    assert [tuple(day.isocalendar()) for day in (monday, sunday, next_monday)] == [
        (2026, 53, 1),
        (2026, 53, 7),
        (2027, 1, 1),
    ]
    every_second = lesson_dates(date(2026, 12, 30), date(2027, 1, 17), weekdays={0, 6}, interval_weeks=2)
    assert every_second == (sunday, date(2027, 1, 11), date(2027, 1, 17))
