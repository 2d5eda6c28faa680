"""What a change costs, aim by aim, in plain words: before → after."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

# Aim -> what it counts, said of a plan as a whole.
_SAID: Final = {
    "left_out": "Left out, by how much it matters",
    "moved": "Figures that stand elsewhere than published",
    "late_reviews": "Lessons by which reviews are early, late or missing",
    "peak": "Minutes in the fullest lesson",
    "order": "Figures out of teaching order",
}


@dataclass(frozen=True)
class Cost:
    """An aim that changed. The less the better, of every aim."""

    what: str
    before: int
    after: int

    @property
    def is_same(self) -> bool:
        return self.after == self.before

    @property
    def is_worse(self) -> bool:
        return self.after > self.before

    @property
    def sentence(self) -> str:
        return f"{self.what}: {self.before} → {self.after} ({'worse' if self.is_worse else 'better'})"


def costs(before: Mapping[str, int], after: Mapping[str, int]) -> tuple[Cost, ...]:
    """The aims that changed, in rank; none where either side could not be reckoned."""
    return tuple(cost for cost in every_aim(before, after) if not cost.is_same)


def every_aim(before: Mapping[str, int], after: Mapping[str, int]) -> tuple[Cost, ...]:
    """The aims known on both sides, in rank."""
    return tuple(Cost(_SAID[aim], value, after[aim]) for aim, value in before.items() if aim in after)


def comes_to(aims: Iterable[tuple[str, int, int]]) -> str:
    """What a plan's aims come to (name, value, bound of each), those that are nought left out."""
    said = [f"{_SAID[name][0].lower()}{_SAID[name][1:]}: {value}" for name, value, _ in aims if value]
    return "; ".join(said)
