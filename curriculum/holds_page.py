"""What the page of a dance's holds shows: how the partners face, what turns into what, who uses it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from curriculum.hold_form import facing_words
from curriculum.models import ChartStep, Dance, Hold, Passage


@dataclass(frozen=True)
class HoldRow:
    """`into`: names of the holds it turns into freely; `figures`: how many figures use it."""

    hold: Hold
    facing: str
    into: tuple[str, ...]
    figures: int


def hold_rows(dance: Dance) -> tuple[HoldRow, ...]:
    """Every hold of the dance in the order it came. Five queries."""
    used: dict[int | None, set[int]] = defaultdict(set)
    for start, end, figure in Passage.objects.filter(figure__dance=dance).values_list(
        "entry_hold", "exit_hold", "figure"
    ):
        used[start].add(figure)
        used[end].add(figure)
    steps = ChartStep.objects.filter(hold__dance=dance).order_by()
    for hold, figure in steps.values_list("hold", "chart__figure").distinct():
        used[hold].add(figure)
    rows = dance.holds.order_by("pk").prefetch_related("changes__into")
    return tuple(
        HoldRow(
            hold=hold,
            facing=facing_words(hold.facing),
            into=tuple(change.into.name for change in hold.changes.all()),
            figures=len(used[hold.pk]),
        )
        for hold in rows
    )
