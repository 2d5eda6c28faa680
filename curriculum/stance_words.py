"""A stance in words for a page: how you're joined, which foot is free, where in the room."""

from __future__ import annotations

from collections.abc import Iterable

from curriculum.models import Dance, FloorUse, Passage
from curriculum.rules.alignment import DIRECTIONS_IN_FULL
from curriculum.rules.stance import Stance

_FEET = {"L": "left", "R": "right"}


def stance_words(stance: Stance, *, slot: bool, is_exit: bool = False) -> str:
    """e.g. "closed; the leader's left foot is free; the leader faces diagonal to wall"."""
    return "; ".join(_parts(stance, slot, is_exit))


def _parts(stance: Stance, slot: bool, is_exit: bool) -> Iterable[str]:
    yield stance.hold or ("as it comes" if is_exit else "in any hold")
    foot = _FEET.get(stance.foot or "")
    yield f"the leader’s {foot} foot is free" if foot else "either foot is free"
    if stance.place is None:
        return
    if slot:
        yield f"the follower is at end {stance.place} of the slot"
    else:
        yield f"the leader faces {DIRECTIONS_IN_FULL[stance.place]}"


def way_words(passage: Passage, dance: Dance) -> tuple[str, str]:
    """A passage's stance at the start and at the end. Reads its holds: fetch them with it."""
    slot = dance.floor_use == FloorUse.SLOT
    start = Stance(
        passage.entry_hold.name if passage.entry_hold else None,
        passage.entry_foot or None,
        passage.entry_place,
    )
    end = Stance(
        passage.exit_hold.name if passage.exit_hold else None, passage.exit_foot or None, passage.exit_place
    )
    return stance_words(start, slot=slot), stance_words(end, slot=slot, is_exit=True)
