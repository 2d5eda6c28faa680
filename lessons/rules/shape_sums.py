"""What a lesson shape's minutes add up to, against lessons of a given length."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

LENGTHS: Final = (60, 75)


@dataclass(frozen=True, slots=True)
class Sums:
    """Minutes of all segments together, each at its least, ideal and most."""

    least: int
    ideal: int
    most: int

    def against(self, minutes: int) -> str:
        """How a lesson of so many minutes comes out, in a sentence."""
        if self.least > minutes:
            return f"{_minutes(self.least - minutes)} too many, even with everything at its shortest."
        if self.most < minutes:
            return f"{_minutes(minutes - self.most)} left over, with everything at its longest."
        if self.ideal > minutes:
            return f"It fits: everything together gives up {_minutes(self.ideal - minutes)}."
        if self.ideal < minutes:
            return f"It fits: everything together gains {_minutes(minutes - self.ideal)}."
        return "It fits exactly, everything at its ideal."


def sums_of(rows: Iterable[tuple[int, int, int]]) -> Sums:
    """rows: (least, ideal, most) of each segment."""
    together = list(rows)
    return Sums(*(sum(row[column] for row in together) for column in range(3)))


def _minutes(number: int) -> str:
    return "1 minute" if number == 1 else f"{number} minutes"
