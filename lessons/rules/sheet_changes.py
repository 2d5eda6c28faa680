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
    title. minutes: kept exactly, None where they are fitted."""

    kind: str
    figure: str = ""
    title: str = ""
    minutes: int | None = None
    left_out: bool = False

    @property
    def place(self) -> Place:
        return self.kind, self.figure


def place_of(segment: Segment) -> Place:
    return segment.kind, segment.figure or ""


def changed(segments: Sequence[Segment], changes: Sequence[Change]) -> tuple[Segment, ...]:
    """The planned segments as `changes` want them, in the order of `changes`.

    A planned segment that no change speaks of stands after the one it was planned after; a change that
    speaks of a segment no longer planned is passed over.
    """
    if not changes:
        return tuple(segments)
    planned = {place_of(segment): segment for segment in segments}
    ordered: list[tuple[Place, Segment | None]] = []
    for change in changes:
        if change.kind == OWN:
            ordered.append(((OWN, ""), _own(change)))
        elif change.place in planned:
            segment = None if change.left_out else _kept(planned[change.place], change.minutes)
            ordered.append((change.place, segment))
    _put_in_what_is_new(ordered, segments)
    return tuple(segment for _, segment in ordered if segment is not None)


def _put_in_what_is_new(ordered: list[tuple[Place, Segment | None]], segments: Sequence[Segment]) -> None:
    """Each segment not spoken of behind the planned one before it, or first."""
    for number, segment in enumerate(segments):
        places = [place for place, _ in ordered]
        if place_of(segment) in places:
            continue
        at = places.index(place_of(segments[number - 1])) + 1 if number else 0
        ordered.insert(at, (place_of(segment), segment))


def _own(change: Change) -> Segment | None:
    if change.left_out:
        return None
    least, ideal, most = _OWN_MINUTES
    return _kept(Segment(OWN, change.title, least, ideal, most, None, KEPT), change.minutes)


def _kept(segment: Segment, minutes: int | None) -> Segment:
    if minutes is None:
        return segment
    return replace(segment, least=minutes, ideal=minutes, most=minutes, give_way=KEPT)
