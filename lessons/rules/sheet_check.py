"""A changed sheet before it is saved: does it fit, and if not, what would?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.planners.tonight import TimedSegment
from lessons.rules.segments import Evening, Sheet, segments_of, sheet_of
from lessons.rules.sheet_changes import KEPT, Change, changed


@dataclass(frozen=True, slots=True)
class Trial:
    """changes: one for each segment of the evening, in order; timed: what each of them gets, None for one
    that is left out or has no room; wrong: why the sheet cannot stand so, by place in `changes`."""

    changes: tuple[Change, ...]
    timed: tuple[TimedSegment | None, ...]
    sheet: Sheet
    wrong: dict[int, str]


def try_out(evening: Evening, changes: Sequence[Change], asked: frozenset[int] = frozenset()) -> Trial:
    """The sheet with these changes, complete as `spoken_of` gives them. asked: places (in `changes`) of what
    is wanted otherwise than before; only they are refused, for what stood before stands."""
    sheet = sheet_of(evening, changes)
    return Trial(tuple(changes), _timed(changes, sheet), sheet, _wrong(evening, changes, sheet, asked))


def _timed(changes: Sequence[Change], sheet: Sheet) -> tuple[TimedSegment | None, ...]:
    """Both stand in the order of the evening."""
    waiting = list(sheet.segments)
    found: list[TimedSegment | None] = []
    for change in changes:
        fits = not change.left_out and waiting and _is_of(waiting[0], change)
        found.append(waiting.pop(0) if fits else None)
    return tuple(found)


def _is_of(timed: TimedSegment, change: Change) -> bool:
    segment = timed.segment
    return (segment.kind, segment.figure or "") == change.place and change.title in ("", segment.title)


def _wrong(
    evening: Evening, changes: Sequence[Change], sheet: Sheet, asked: frozenset[int]
) -> dict[int, str]:
    if sheet.left_out:
        longer = (at for at in sorted(asked) if not changes[at].left_out)
        return {at: _too_short(changes[at], sheet.missing) for at in longer}
    free = [one for one in changed(segments_of(evening), changes) if one.give_way != KEPT]
    if sheet.spare and not free:
        return {at: _too_long(changes[at], sheet.spare) for at in sorted(asked)}
    return {}


def _too_short(change: Change, missing: int) -> str:
    said = f"The lesson is {_minutes(missing)} too short for this, even with everything else at its shortest."
    most = (change.minutes or 0) - missing
    if most >= 1:
        return f"{said} At most {_minutes(most)} fit here, or leave something out."
    return f"{said} Leave something out first."


def _too_long(change: Change, spare: int) -> str:
    said = f"{_minutes(spare)} of the lesson would stay empty, for everything else keeps its minutes."
    if change.minutes and not change.left_out:
        return f"{said} Write {change.minutes + spare} here, or leave a field empty to have it fitted."
    return f"{said} Leave a field of minutes empty to have it fitted."


def _minutes(number: int) -> str:
    return "1 minute" if number == 1 else f"{number} minutes"
