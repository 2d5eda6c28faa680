"""Numbers as they are sent: in an address, or by a form that has no field for them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

MOST_DIGITS = 18
"""One more would be wider than what a column of a database holds."""


def whole_number(said: str | None) -> int | None:
    """What was sent as a number, from 0 up; None for anything else, and for one no row could have."""
    if not said or not (said.isascii() and said.isdecimal()) or len(said) > MOST_DIGITS:
        return None
    return int(said)


def whole_numbers(said: Iterable[str]) -> Iterator[int]:
    """Those among them that are numbers, in their order."""
    return (number for one in said if (number := whole_number(one)) is not None)
