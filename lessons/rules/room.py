"""What a room asks of a lesson: how many people, whether a dance may travel, when the music stops."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

# Common practice, no source: before this hour a lesson is more likely a slip of the pen.
EARLIEST = dt.time(7)


@dataclass(frozen=True, slots=True)
class RoomRule:
    """A sentence; is_broken: tonight goes against it as things stand."""

    sentence: str
    is_broken: bool = False


@dataclass(frozen=True, slots=True)
class RoomTonight:
    """people_allowed, music_off: None where the room asks nothing. people: dancers, helpers called
    and those in front."""

    people_allowed: int | None
    people: int
    allows_travelling: bool
    dance: str
    dance_travels: bool
    music_off: dt.time | None
    starts: dt.time
    ends: dt.time


def room_rules(tonight: RoomTonight) -> tuple[RoomRule, ...]:
    """The room's rules that bear on this lesson, in sentences."""
    rules = []
    if tonight.people_allowed is not None:
        is_full = tonight.people > tonight.people_allowed
        rules.append(
            RoomRule(
                f"People allowed: {tonight.people_allowed}; "
                f"expected, with whoever teaches: {tonight.people}.",
                is_full,
            )
        )
    if tonight.dance_travels and not tonight.allows_travelling:
        rules.append(
            RoomRule(
                f"Too small for a dance that travels: keep the {tonight.dance} nearly on the spot.", True
            )
        )
    if tonight.music_off is not None:
        # A lesson that ends after midnight ends after any time at which music stops.
        late = tonight.ends > tonight.music_off or tonight.ends < tonight.starts
        rules.append(RoomRule(f"Music off at {tonight.music_off:%H:%M}.", late))
    return tuple(rules)


def odd_hour(starts: dt.time) -> tuple[str, ...]:
    """A sentence where a lesson would begin at an hour at which nobody dances."""
    return (f"It begins at {starts:%H:%M}, before {EARLIEST:%H:%M}.",) if starts < EARLIEST else ()
