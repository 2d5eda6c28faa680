"""What an instructor changed of tonight's segments: order, minutes kept, left out, their own put in.

Plain values in, plain values out. The rest of the evening is fitted again by the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lessons.planners.tonight import Segment

OWN = "own"
# A segment with this stays when the lesson is too short, as long as anything else can go.
KEPT = -1
# An own segment of which nothing is said: least, ideal, most minutes. Common practice, no source.
_OWN_MINUTES = (1, 3, 10)

Place = tuple[str, str]
"""Which planned segment: its kind, and the figure it is about or ""."""


@dataclass(frozen=True, slots=True)
class Change:
    """One segment in its place. kind, figure: of the planned sheet; an own one is of kind "own" and has a
    title. minutes: kept exactly, None where they are fitted; music: the key of the piece it is danced to."""

    kind: str
    figure: str = ""
    title: str = ""
    minutes: int | None = None
    left_out: bool = False
    music: int | None = None

    @property
    def place(self) -> Place:
        return self.kind, self.figure


def place_of(segment: Segment) -> Place:
    return segment.kind, segment.figure or ""


def changed(segments: Sequence[Segment], changes: Sequence[Change]) -> tuple[Segment, ...]:
    """The planned segments as `changes` want them, in their order, with the instructor's own among them."""
    if not changes:
        return tuple(segments)
    planned = {place_of(segment): segment for segment in segments}
    return tuple(
        _kept(_own(change) if change.kind == OWN else planned[change.place], change.minutes)
        for change in spoken_of(segments, changes)
        if not change.left_out
    )


def spoken_of(segments: Sequence[Segment], changes: Sequence[Change]) -> tuple[Change, ...]:
    """A change for every planned segment and every own one, in the order of the evening.

    A planned segment that no change speaks of stands after the one it was planned after; a change that
    speaks of a segment no longer planned, or a second time of the same, is passed over.
    """
    open_places = {place_of(segment) for segment in segments}
    ordered: list[Change] = []
    for change in changes:
        if change.kind == OWN or change.place in open_places:
            ordered.append(change)
            open_places.discard(change.place)
    for number, segment in enumerate(segments):
        if place_of(segment) in open_places:
            before = place_of(segments[number - 1]) if number else None
            at = next((at + 1 for at, change in enumerate(ordered) if change.place == before), 0)
            ordered.insert(at, Change(*place_of(segment)))
    return tuple(ordered)


def _own(change: Change) -> Segment:
    least, ideal, most = _OWN_MINUTES
    return Segment(OWN, change.title, least, ideal, most, None, KEPT)


def _kept(segment: Segment, minutes: int | None) -> Segment:
    if minutes is None:
        return segment
    return replace(segment, least=minutes, ideal=minutes, most=minutes, give_way=KEPT)
