"""What a run-sheet is made of, whether it was fitted a moment ago or kept since the lesson was written up."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from curriculum.models import Figure
from curriculum.strip import RoutineStrip
from lessons.evening.tonight import Planned, Tonight
from lessons.models import SheetChange
from lessons.planners.tonight import Segment

REST_AFTER = 60


@dataclass(frozen=True)
class SheetRow:
    """A timed segment on the wall clock. planned: the figure it is about; says: what to say, line by line;
    note: what the last instructor left for this one; music: the piece chosen for it, in words."""

    starts: dt.time
    ends: dt.time
    offset: int
    minutes: int
    segment: Segment
    planned: Planned | None
    says: tuple[str, ...]
    note: str = ""
    music: str = ""

    @property
    def kind(self) -> str:
        return self.segment.kind

    @property
    def figure(self) -> Figure | None:
        return self.planned.figure if self.planned else None


@dataclass(frozen=True)
class Reach:
    """How far the course's routine can be danced; `strip` draws it."""

    strip: RoutineStrip

    @property
    def figures(self) -> frozenset[str]:
        """What is danced."""
        return frozenset(block.name for block in self.strip.blocks if block.is_danceable)

    @property
    def in_routine(self) -> frozenset[str]:
        return frozenset(block.name for block in self.strip.blocks)

    @property
    def sentence(self) -> str:
        last = self.strip.last_danceable
        if last is None:
            return "None of the routine can be danced yet."
        if self.strip.danceable == len(self.strip.blocks):
            return "We can dance the whole routine."
        return f"We can dance as far as {last.name}: {last.number} of {len(self.strip.blocks)}."


@dataclass(frozen=True)
class RunSheet:
    """rows add up to the lesson exactly. too_short, too_long: a sentence, or nothing; left_out: what had no
    room, most harmless first; notes: what the sheet could not take from plan or record as it stands; change:
    where somebody changed the sheet."""

    tonight: Tonight
    rows: tuple[SheetRow, ...]
    reach: Reach | None
    too_short: str = ""
    too_long: str = ""
    left_out: tuple[Segment, ...] = ()
    notes: tuple[str, ...] = ()
    change: SheetChange | None = None

    @property
    def figures(self) -> tuple[Planned, ...]:
        return self.tonight.planned

    @property
    def cautioned(self) -> tuple[Figure, ...]:
        """Tonight's figures that carry a caution."""
        return tuple(item.figure for item in self.figures if item.figure.cautions.all())

    @property
    def cautioned_beside(self) -> tuple[Figure, ...]:
        """Of those, the ones that have no segment of their own in which the caution stands."""
        own = {row.figure.pk for row in self.rows if row.figure}
        return tuple(figure for figure in self.cautioned if figure.pk not in own)

    @property
    def wants_rest(self) -> bool:
        return self.tonight.lesson.minutes > REST_AFTER
