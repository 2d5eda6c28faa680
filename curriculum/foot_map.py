"""The foot map of a chart: both roles' footprints as pictures, and the same in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from curriculum.chart_table import turn_words
from curriculum.foot_map_picture import FootPicture, draw
from curriculum.models import ChartStep, Dance, FloorRole, FloorUse, Hold, Passage, StepChart
from curriculum.problems import facings_of, passage_of, steps_of
from curriculum.rules.alignment import DIRECTIONS, DIRECTIONS_IN_FULL
from curriculum.rules.chart import Step
from curriculum.rules.chart_couple import Hold as HoldFacing
from curriculum.rules.footprints import FloorMap, footprints, unit
from curriculum.rules.stance import UNKNOWN, Stance
from curriculum.rules.wording import FEET

_ROSE_RADIUS = 44


@dataclass(frozen=True)
class RosePoint:
    """A direction of the room on the rose: its short name and where that stands."""

    name: str
    x: float
    y: float
    is_main: bool


@dataclass(frozen=True)
class FootMap:
    """A chart's map, drawn only when it is asked for. What it is drawn from is all in its fields, so equal
    maps look the same. `holds`: name and facing of each hold that is spoken of."""

    id: str
    name: str
    leader: tuple[Step, ...]
    follower: tuple[Step, ...]
    entry: Stance
    exit: Stance
    holds: tuple[tuple[str, HoldFacing], ...]
    floor: FloorUse

    @cached_property
    def on_the_floor(self) -> FloorMap:
        return footprints(
            self.leader,
            self.follower,
            entry=self.entry,
            exit=self.exit,
            holds=dict(self.holds),
            floor=self.floor.value,
        )

    @cached_property
    def pictures(self) -> tuple[FootPicture, ...]:
        """Leader, follower, and both together."""
        floor = self.on_the_floor
        return (
            draw(floor, (floor.leader,), "leader"),
            draw(floor, (floor.follower,), "follower"),
            draw(floor, (floor.leader, floor.follower), "couple"),
        )

    @property
    def words(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """For each role its steps in words."""
        return ("leader", _in_words(self.leader)), ("follower", _in_words(self.follower))

    @property
    def drawn_from(self) -> str:
        """How the leader stands at the start; empty where the room does not matter."""
        return DIRECTIONS_IN_FULL[self.entry.place or 0] if self.on_the_floor.in_the_room else ""

    @property
    def rose(self) -> tuple[RosePoint, ...]:
        """The directions of the room; empty where it does not matter."""
        return _rose() if self.on_the_floor.in_the_room else ()

    @property
    def has_touch(self) -> bool:
        tracks = (self.on_the_floor.leader, self.on_the_floor.follower)
        return any(not mark.weight for track in tracks for mark in track.prints)


def foot_map(chart: StepChart, passages: Iterable[Passage], dance: Dance) -> FootMap | None:
    """The map of the chart, danced by the first of `passages` that uses it; None for an empty chart.

    Reads the chart's steps with their holds and the passages with figure and holds: fetch them. No query of
    its own.
    """
    rows = list(chart.steps.all())
    if not rows:
        return None
    row = next((row for row in passages if row.chart_id == chart.pk), None)
    passage = passage_of(row) if row else None
    return FootMap(
        id=str(chart.pk),
        name=chart.name,
        leader=steps_of(rows, FloorRole.LEADER),
        follower=steps_of(rows, FloorRole.FOLLOWER),
        entry=passage.entry if passage else UNKNOWN,
        exit=passage.exit if passage else UNKNOWN,
        holds=tuple(facings_of(_holds(rows, row)).items()),
        floor=FloorUse(dance.floor_use),
    )


def _holds(rows: Iterable[ChartStep], passage: Passage | None) -> Iterable[Hold]:
    """The holds that the chart and its passage speak of."""
    ends = (passage.entry_hold, passage.exit_hold) if passage else ()
    return (hold for hold in (*ends, *(row.hold for row in rows)) if hold is not None)


def _in_words(steps: Sequence[Step]) -> tuple[str, ...]:
    """e.g. "count 2: right foot, step side, turning ¼ to the right"; a held count says so."""
    said = []
    for step in steps:
        foot = f"{FEET[step.foot]} foot, " if step.foot in FEET else ""
        turn = f", turning {turn_words(step.turn)}" if step.turn else ""
        said.append(f"count {step.count}: {foot}{' '.join([step.action, step.direction]).strip()}{turn}")
    return tuple(said)


def _rose() -> tuple[RosePoint, ...]:
    points = []
    for number, name in enumerate(DIRECTIONS):
        at = unit(number) * _ROSE_RADIUS
        points.append(RosePoint(name, round(at.real, 1), round(-at.imag, 1), number % 2 == 0))
    return tuple(points)
