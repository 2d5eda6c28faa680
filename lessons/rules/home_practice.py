"""Ten minutes at home: which of the taught figures somebody goes through alone, in which order, how long.

Pure: the same student on the same day gets the same ten minutes, on every device.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

MINUTES = 10
WARM_UP, CLOSE, ROUTINE = 1, 1, 2
MOST_FIGURES = 3
FRESH = dt.timedelta(days=7)
"""What was new within a week comes first: what is to last a week is best met again after a fifth to two
fifths of that time (Cepeda et al. 2008, repository abstract)."""

# Days after which a figure is due again, by how often it was danced: the one, two and four lessons of a
# weekly class (common practice, no source).
DUE_AFTER = (7, 14, 28)
# A mark of one's own shortens or stretches that time (common practice, no source).
PACE = {"": Fraction(1), "not_yet": Fraction(1, 2), "thinking": Fraction(1, 2), "easy": Fraction(2)}


class Why(StrEnum):
    """Why a figure is practised today, in the order in which they come."""

    FRESH = "fresh"
    NOT_YET = "not_yet"
    DUE = "due"
    AGAIN = "again"


@dataclass(frozen=True)
class TaughtFigure:
    """A figure somebody was taught. danced: the days on which a lesson they were in did it, in any order.

    mark: their own, "" | "not_yet" | "thinking" | "easy"; order: its place in the syllabus.
    """

    key: Hashable
    danced: tuple[dt.date, ...]
    mark: str = ""
    order: int = 0


@dataclass(frozen=True)
class PracticeStep:
    """kind: "warm_up" | "figure" | "routine" | "close"; start: minutes from the beginning."""

    kind: str
    start: int
    minutes: int
    key: Hashable | None = None
    why: Why | None = None


def ten_minutes(
    figures: Iterable[TaughtFigure], *, today: dt.date, has_routine: bool
) -> tuple[PracticeStep, ...]:
    """A warm-up, up to three figures, the routine if there is one to dance, and a look back: ten minutes.

    () where there is nothing to practise. Figures never danced in a lesson they were in are left alone.
    """
    chosen = _chosen([figure for figure in figures if figure.danced], today)
    if not chosen and not has_routine:
        return ()
    rest = MINUTES - WARM_UP - CLOSE
    routine = 0 if not has_routine else ROUTINE if chosen else rest
    parts: list[tuple[str, int, Hashable | None, Why | None]] = [("warm_up", WARM_UP, None, None)]
    for place, (figure, why) in enumerate(chosen):
        parts.append(("figure", _share(rest - routine, len(chosen), place), figure.key, why))
    if routine:
        parts.append(("routine", routine, None, None))
    parts.append(("close", CLOSE, None, None))
    steps, start = [], 0
    for kind, minutes, key, reason in parts:
        steps.append(PracticeStep(kind, start, minutes, key, reason))
        start += minutes
    return tuple(steps)


def why_now(figure: TaughtFigure, today: dt.date) -> Why:
    """The first reason that holds."""
    if today - min(figure.danced) <= FRESH:
        return Why.FRESH
    if figure.mark == "not_yet":
        return Why.NOT_YET
    return Why.DUE if overdue(figure, today) >= 1 else Why.AGAIN


def overdue(figure: TaughtFigure, today: dt.date) -> Fraction:
    """Time since it was last danced, in parts of the time after which it is due: from 1 on it is due."""
    times = min(len(figure.danced), len(DUE_AFTER))
    due_after = DUE_AFTER[times - 1] * PACE[figure.mark]
    return (today - max(figure.danced)).days / due_after


def _chosen(figures: list[TaughtFigure], today: dt.date) -> list[tuple[TaughtFigure, Why]]:
    """The most pressing first; of equals the one longest not danced, then the earlier in the syllabus."""
    reasons = list(Why)

    def pressing(figure: TaughtFigure) -> tuple[int, Fraction, int]:
        return reasons.index(why_now(figure, today)), -overdue(figure, today), figure.order

    first = sorted(figures, key=pressing)[:MOST_FIGURES]
    return [(figure, why_now(figure, today)) for figure in first]


def _share(minutes: int, parts: int, place: int) -> int:
    """Even shares, larger ones first."""
    return minutes // parts + (place < minutes % parts)
