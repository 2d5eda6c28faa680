"""A row of figures and corners changed at one place. Rows are tuples of anything; a changed row is a new one.

Places are counted from 0. A gap is where something can be put in: gap 0 stands before the first item, gap n
behind the n-th.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeVar

Item = TypeVar("Item")

MOST_ITEMS: Final = 1_000
"""More than any evening dances; a row that grew longer was not meant."""


class RowTooLong(ValueError):  # noqa: N818 - says what it is
    def __init__(self) -> None:
        super().__init__(f"A routine has at most {MOST_ITEMS:,} figures.")


class NoSuchPlace(ValueError):  # noqa: N818 - says what it is
    def __init__(self) -> None:
        super().__init__("There is no such place in this routine any more.")


def put_in(row: Sequence[Item], gap: int, new: Sequence[Item]) -> tuple[Item, ...]:
    """With `new` in the gap."""
    if not 0 <= gap <= len(row):
        raise NoSuchPlace
    return _checked((*row[:gap], *new, *row[gap:]))


def take_out(row: Sequence[Item], place: int) -> tuple[Item, ...]:
    """Without the item at `place`, counted from 0."""
    _refuse_missing(row, place)
    return (*row[:place], *row[place + 1 :])


def replace(row: Sequence[Item], place: int, new: Item) -> tuple[Item, ...]:
    _refuse_missing(row, place)
    return (*row[:place], new, *row[place + 1 :])


def move(row: Sequence[Item], place: int, to: int) -> tuple[Item, ...]:
    """With the item at `place` at the place `to`, as places are counted afterwards."""
    _refuse_missing(row, place)
    _refuse_missing(row, to)
    return put_in(take_out(row, place), to, (row[place],))


def _refuse_missing(row: Sequence[Item], place: int) -> None:
    if not 0 <= place < len(row):
        raise NoSuchPlace


def _checked(row: tuple[Item, ...]) -> tuple[Item, ...]:
    if len(row) > MOST_ITEMS:
        raise RowTooLong
    return row
