"""What a routine's builder shows: the row, the chosen place in it, what can stand there, what mends it."""

from __future__ import annotations

from dataclasses import dataclass

from curriculum.models import Routine, RoutineVersion
from curriculum.routine_bench import Bench, Dances
from curriculum.routine_bridges import Bridge, mends_at
from curriculum.routine_choices import Choices, choices_at
from curriculum.routine_history import changes_between, undone_by
from curriculum.routine_report import RoutinePage
from curriculum.rules.chain import CORNER, UNKNOWN
from curriculum.stance_words import stance_words
from curriculum.strip import StripBlock, StripJoin


@dataclass(frozen=True)
class Place:
    """The chosen place. at: from 1, 0 for the start; block: its figure, None for the start or a corner; join:
    how that is come to, the first one from the routine below; stance: how the couple stands after it, in
    words."""

    at: int
    block: StripBlock | None
    join: StripJoin | None
    is_corner: bool
    is_last: bool
    stance: str
    replaces: bool
    choices: Choices
    bridges: tuple[Bridge, ...]
    missing: tuple[str, ...]

    @property
    def name(self) -> str:
        if self.block is not None:
            return self.block.name
        return "the corner" if self.is_corner else "the start"

    @property
    def is_broken(self) -> bool:
        return self.join is not None and self.join.mark == "broken"


@dataclass(frozen=True)
class Undo:
    """row: the version undo brings back; sentences: what it takes back."""

    row: RoutineVersion
    sentences: tuple[str, ...]


def place_of(page: RoutinePage, dances: Dances, at: int | None, *, replaces: bool = False) -> Place:
    """The place `at`, the end of the row unless it is said; with what can stand there. No query."""
    bench = Bench(page, dances)
    items, stances = bench.items, bench.stances
    at = len(items) if at is None else min(max(at, 0), len(items))
    replaces = replaces and at > 0 and items[at - 1] is not CORNER
    block = next((block for block in page.strip.blocks if block.place == at), None)
    slot = dances.words.slot
    join = _join_into(page, block)
    broken = join is not None and join.mark == "broken"
    bridges, missing = mends_at(bench, at) if broken else ((), ())
    return Place(
        at=at,
        block=block,
        join=join,
        is_corner=at > 0 and block is None,
        is_last=at == len(items),
        stance=stance_words(stances[at], slot=slot, is_exit=True) if stances[at] != UNKNOWN else "",
        replaces=replaces,
        choices=choices_at(bench, at - 1 if replaces else at, behind=at),
        bridges=bridges,
        missing=missing,
    )


def _join_into(page: RoutinePage, block: StripBlock | None) -> StripJoin | None:
    if block is not None and block.number == 1:
        return page.below.join if page.below else None
    return block.join if block else None


def undo_of(routine: Routine) -> Undo | None:
    """None where there is nothing to undo. At most three queries."""
    back = undone_by(routine)
    stands = back and routine.versions.filter(version=routine.version).first()
    if back is None or not stands:
        return None
    return Undo(back, changes_between(back.snapshot, stands.snapshot) or ("the last change.",))
