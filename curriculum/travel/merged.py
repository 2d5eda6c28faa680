"""What a dance is afterwards, and what each thing in it was before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from curriculum.travel import values

Value = TypeVar("Value", values.Level, values.Hold, values.Rhythm, values.Figure, values.Routine)


@dataclass(frozen=True, slots=True)
class Merged(Generic[Value]):
    """One thing afterwards. `before`: as it stands, in the names of afterwards; `was`: the name it has now.
    Both None for a new one. `spoken_of`: whether the file has it."""

    value: Value
    before: Value | None = None
    was: str | None = None
    spoken_of: bool = True

    @property
    def is_new(self) -> bool:
        return self.before is None

    @property
    def is_changed(self) -> bool:
        return self.before is not None and (self.before != self.value or self.was != self.value.name)


@dataclass(frozen=True, slots=True)
class MergedDance:
    """A dance afterwards. `before` and `was` as for Merged; each list as it is afterwards, in order."""

    value: values.Dance
    before: values.Dance | None
    levels: tuple[Merged[values.Level], ...]
    holds: tuple[Merged[values.Hold], ...]
    rhythms: tuple[Merged[values.Rhythm], ...]
    figures: tuple[Merged[values.Figure], ...]
    routines: tuple[Merged[values.Routine], ...]
