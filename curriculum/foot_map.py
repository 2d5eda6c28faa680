"""The foot map of a chart: both roles' footprints as pictures, and the same in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from curriculum.chart_table import turn_words
from curriculum.foot_map_picture import FootPicture, draw
from curriculum.models import ChartStep, Dance, FloorRole, FloorUse, Hold, Passage, StepChart
from curriculum.rules.alignment import DIRECTIONS, DIRECTIONS_IN_FULL
from curriculum.rules.chart import Step
from curriculum.rules.chart_couple import Hold as HoldFacing
from curriculum.rules.footprints import footprints, unit
from curriculum.rules.stance import Stance
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
    """`pictures`: leader, follower, couple. `words`: for each role its steps in words. `drawn_from`: how the
    leader stands at the start, where the room matters. `rose`: empty where it does not."""

    id: str
    name: str
    pictures: tuple[FootPicture, ...]
    words: tuple[tuple[str, tuple[str, ...]], ...]
    drawn_from: str
    rose: tuple[RosePoint, ...]
    has_touch: bool


def holds_of(dance: Dance) -> dict[str, HoldFacing]:
    """How partners stand in the dance's holds, by the hold's name. One query."""
    return {row.name: HoldFacing(row.facing, row.same_foot) for row in dance.holds.all()}


def foot_map(
    chart: StepChart, passages: Iterable[Passage], dance: Dance, holds: Mapping[str, HoldFacing]
) -> FootMap | None:
    """The map of the chart, danced by the first of `passages` that uses it; None for an empty chart.

    Reads the chart's steps with their holds and the passages' holds: fetch them. No query of its own.
    """
    rows = list(chart.steps.all())
    leader, follower = _steps(rows, FloorRole.LEADER), _steps(rows, FloorRole.FOLLOWER)
    if not leader and not follower:
        return None
    passage = next((row for row in passages if row.chart_id == chart.pk), None)
    entry, leave = _stances(passage)
    floor = footprints(
        leader, follower, entry=entry, exit=leave, holds=holds, floor=FloorUse(dance.floor_use).value
    )
    tracks = (floor.leader, floor.follower)
    return FootMap(
        id=str(chart.pk),
        name=chart.name,
        pictures=(
            draw(floor, tracks[:1], "leader"),
            draw(floor, tracks[1:], "follower"),
            draw(floor, tracks, "couple"),
        ),
        words=(("leader", _in_words(leader)), ("follower", _in_words(follower))),
        drawn_from=DIRECTIONS_IN_FULL[entry.place or 0] if floor.in_the_room else "",
        rose=_rose() if floor.in_the_room else (),
        has_touch=any(not mark.weight for track in tracks for mark in track.prints),
    )


def _steps(rows: Iterable[ChartStep], role: FloorRole) -> tuple[Step, ...]:
    return tuple(
        Step(
            count=row.count,
            ticks=row.ticks,
            foot=row.foot or None,
            action=row.action,
            direction=row.direction,
            turn=row.turn,
            hold=row.hold.name if row.hold else None,
            cue=row.cue,
        )
        for row in rows
        if row.role == role
    )


def _stances(passage: Passage | None) -> tuple[Stance, Stance]:
    if passage is None:
        return Stance(None), Stance(None)
    return (
        _stance(passage.entry_hold, passage.entry_foot, passage.entry_place),
        _stance(passage.exit_hold, passage.exit_foot, passage.exit_place),
    )


def _stance(hold: Hold | None, foot: str, place: int | None) -> Stance:
    return Stance(hold.name if hold else None, foot or None, place)


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
