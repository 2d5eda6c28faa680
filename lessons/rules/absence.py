"""Who of those named for a lesson stands in front of it, and how it is said that nobody does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Named = TypeVar("Named")

AWAY, LEFT, STOPPED = "is away", "has left the school", "is no longer an instructor"
FOR_GOOD = frozenset({LEFT, STOPPED})


def why_not(*, has_left: bool, teaches: bool, is_away: bool, is_over: bool) -> str:
    """Why somebody does not stand in front of a lesson they were named for; empty where they do. Of one that
    `is_over` that is history: they did."""
    if is_over:
        return ""
    if has_left:
        return LEFT
    if not teaches:
        return STOPPED
    return AWAY if is_away else ""


@dataclass(frozen=True)
class InFront(Generic[Named]):
    """`there`: who is; `missing`: who is not, each with why ("is away")."""

    there: tuple[Named, ...] = ()
    missing: tuple[tuple[Named, str], ...] = ()

    @classmethod
    def of(cls, named: Sequence[tuple[Named, str]]) -> InFront[Named]:
        """Everybody who was named, with why they are not there; empty for whoever is."""
        return cls(
            there=tuple(person for person, why in named if not why),
            missing=tuple((person, why) for person, why in named if why),
        )

    @property
    def nobody(self) -> str:
        """The sentence where all who were named are missing; empty where somebody is there, or nobody was
        ever named."""
        if self.there or not self.missing:
            return ""
        said = [f"{person} {why}" for person, why in self.missing]
        return f"{' and '.join(said)}; nobody takes this yet."

    @property
    def for_good(self) -> bool:
        """Nobody takes it, and nobody who was named comes back."""
        return bool(self.nobody) and FOR_GOOD.issuperset(why for _, why in self.missing)
