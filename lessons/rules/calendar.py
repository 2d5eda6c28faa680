"""Which days a course meets, and when a lesson begins.

Dates are local dates of the school. Weekdays are counted as Python's `date.weekday` does: Monday 0, Sunday 6.
"""

from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

WEEK = timedelta(weeks=1)


class NoSuchTime(ValueError):  # noqa: N818 (the name is what the page says)
    """On that day the clocks are put forward over this time: it does not exist."""

    def __init__(self, day: date, clock: time, zone: ZoneInfo) -> None:
        super().__init__(
            f"There is no {clock:%H:%M} on {day:%A} {day.day} {day:%B %Y} in {zone.key}: "
            "the clocks go forward over it. Choose another start."
        )
        self.day = day
        self.clock = clock


def lesson_dates(
    first_day: date,
    last_day: date,
    *,
    weekdays: Collection[int],
    interval_weeks: int = 1,
    closed: Collection[date] = frozenset(),
) -> tuple[date, ...]:
    """The dates on which a course meets from the term's first day to its last, both included, in order.

    weekdays: the days of the week it meets on; interval_weeks: 1 = every week, 2 = every second. Weeks run
    from Monday to Sunday and are counted from the one the term's first day lies in (RFC 5545's default week
    start), so a term that begins on a Thursday has its first Tuesday, in a two-week rhythm, twelve days
    later. A day without class is left out and nothing is put in its place (an EXDATE of RFC 5545). A term
    that ends before it begins has no dates. ValueError for a weekday outside 0..6 or an interval below 1.
    """
    if interval_weeks < 1:
        raise ValueError(f"A course meets every week or every so many weeks, not every {interval_weeks}.")
    if not all(0 <= weekday <= 6 for weekday in weekdays):
        raise ValueError("Weekdays are numbers from 0 (Monday) to 6 (Sunday).")
    dates = []
    monday = first_day - timedelta(days=first_day.weekday())
    while monday <= last_day:
        for weekday in sorted(set(weekdays)):
            day = monday + timedelta(days=weekday)
            if first_day <= day <= last_day and day not in closed:
                dates.append(day)
        monday += interval_weeks * WEEK
    return tuple(dates)


def local_start(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """The moment a lesson begins: the same time on the wall the whole year, whatever the clocks do.

    A time that comes twice (clocks put back) is the first of the two. A time the clocks jump over does not
    exist: NoSuchTime, with a sentence, rather than a lesson that silently begins an hour later.
    """
    start = datetime.combine(day, clock, tzinfo=zone)
    on_the_wall = start.astimezone(UTC).astimezone(zone)
    if on_the_wall.replace(tzinfo=None) != start.replace(tzinfo=None):
        raise NoSuchTime(day, clock, zone)
    return start
