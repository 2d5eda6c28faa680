"""A routine on the bench: its row as the rules see it, and all of its dance that could be put into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from curriculum import problems
from curriculum.models import Passage as PassageRow
from curriculum.models import Routine
from curriculum.routine_history import item_words
from curriculum.routine_report import RoutinePage
from curriculum.rules.chain import CORNER, UNKNOWN, Floor, Passage, RoutineItem, Stance, stances_along
from curriculum.rules.wording import Words


class Dances:
    """Every way through every figure of a dance, as rows and for the rules. Three queries."""

    def __init__(self, routine: Routine) -> None:
        dance = routine.level.dance
        self.floor: Floor = problems.floor_of(dance)
        self.words: Words = problems.words_of(dance)
        rows = PassageRow.objects.filter(figure__dance=dance).select_related(
            "figure", "entry_hold", "exit_hold"
        )
        ordered = rows.order_by("figure__level__rank", "figure__order", "figure", "position")
        self.rows: dict[Passage, PassageRow] = {}
        for row in ordered:
            # Two ways that are the same to dance are one choice.
            self.rows.setdefault(problems.passage_of(row), row)
        self.passages: tuple[Passage, ...] = tuple(self.rows)

    @property
    def names(self) -> dict[int, str]:
        """Passage (pk) -> the figure and the way, as they are said."""
        return {row.pk: item_words(row.figure.name, row.label) for row in self.rows.values()}


@dataclass(frozen=True)
class Bench:
    """page: the routine and how it is looked at. No query of its own."""

    page: RoutinePage
    dances: Dances

    @cached_property
    def items(self) -> Sequence[RoutineItem]:
        return [CORNER if row is None else problems.passage_of(row) for row in self.page.rows]

    @cached_property
    def stances(self) -> Sequence[Stance]:
        """Where the couple stands before the first item and after each, the routine below behind it."""
        below = self.page.below
        return stances_along(self.items, start=below.stance if below else UNKNOWN)

    def danced_before(self, gap: int) -> Passage | None:
        """What was danced last before the gap; at the start what the routine below ends with."""
        danced = (item for item in reversed(self.items[:gap]) if isinstance(item, Passage))
        return next(danced, self.page.below.last if self.page.below else None)
