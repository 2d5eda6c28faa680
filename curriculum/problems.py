"""The bridge from the curriculum's rows to its functional core. Figures and holds go by their names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from curriculum import models
from curriculum.rules import chart_couple
from curriculum.rules.chain import (
    CORNER,
    Floor,
    Join,
    Passage,
    RoutineItem,
    RoutineReport,
    Stance,
    Words,
    check_routine,
)
from curriculum.rules.steps import Step


def floor_of(dance: models.Dance) -> Floor:
    """The dance's free changes of hold. One query."""
    return floors_of([dance.pk])[dance.pk]


def floors_of(dances: Iterable[int]) -> dict[int, Floor]:
    """Dance (pk) -> its free changes of hold. One query."""
    relaxes: dict[int, dict[str, set[str]]] = {dance: defaultdict(set) for dance in dances}
    changes = models.HoldChange.objects.filter(hold__dance__in=relaxes)
    for dance, hold, into in changes.values_list("hold__dance", "hold__name", "into__name"):
        relaxes[dance][hold].add(into)
    return {dance: Floor(dict(found)) for dance, found in relaxes.items()}


def words_of(dance: models.Dance) -> Words:
    """How the core's sentences speak of places in this dance: the ends of a slot, or directions."""
    return Words(slot=dance.floor_use == models.FloorUse.SLOT)


def passage_of(row: models.Passage) -> Passage:
    """One way through a figure. Reads `row.figure` and the row's holds: fetch them with the rows."""
    return Passage(
        figure=row.figure.name,
        entry=_stance(row.entry_hold, row.entry_foot, row.entry_place),
        exit=_stance(row.exit_hold, row.exit_foot, row.exit_place),
        beats=row.beats,
        give=row.give,
    )


def passages_of(dance: models.Dance) -> tuple[Passage, ...]:
    """Every passage of the dance, in teaching order. One query."""
    rows = models.Passage.objects.filter(figure__dance=dance).select_related(
        "figure", "entry_hold", "exit_hold"
    )
    return tuple(
        passage_of(row) for row in rows.order_by("figure__level__rank", "figure__order", "figure", "position")
    )


def routine_items(routine: models.Routine) -> tuple[RoutineItem, ...]:
    """The routine's own passages and corners in order, without those of the routine below. One query."""
    rows = routine.items.select_related("passage__figure", "passage__entry_hold", "passage__exit_hold")
    return _items(rows.order_by("position"))


def items_of(routines: Iterable[int]) -> dict[int, list[RoutineItem]]:
    """Routine (pk) -> its own passages and corners in order. One query."""
    items: dict[int, list[RoutineItem]] = {routine: [] for routine in routines}
    rows = models.RoutineItem.objects.filter(routine__in=items).select_related(
        "passage__figure", "passage__entry_hold", "passage__exit_hold"
    )
    for row in rows.order_by("position"):
        items[row.routine_id].append(passage_of(row.passage) if row.passage else CORNER)
    return items


def routine_report(
    routine: models.Routine, *, taught: frozenset[str], items: tuple[RoutineItem, ...] | None = None
) -> RoutineReport:
    """The check of the routine for a couple that knows the figures named in `taught`.

    `items`: the routine's own, where they were read already. Two queries, or one with `items`, and two more
    where `routine.level.dance` was not fetched with it.
    """
    dance = routine.level.dance
    return check_routine(
        routine_items(routine) if items is None else items,
        floor=floor_of(dance),
        taught=taught,
        bar_beats=dance.beats_per_bar,
        phrase_bars=dance.bars_per_phrase,
        words=words_of(dance),
    )


def join_from_below(routine: models.Routine) -> Join | None:
    """How the routine goes on from the one it continues; None where nothing joins. Three queries."""
    if routine.continues is None:
        return None
    dance = routine.level.dance
    return join_of_rows(
        routine_items(routine.continues), routine_items(routine), dance=dance, floor=floor_of(dance)
    )


def join_of_rows(
    below: tuple[RoutineItem, ...], own: tuple[RoutineItem, ...], *, dance: models.Dance, floor: Floor
) -> Join | None:
    """How one row goes on from another; None where either has no figure. No query."""
    danced_below = sum(isinstance(item, Passage) for item in below)
    first = next((place for place, item in enumerate(own) if isinstance(item, Passage)), None)
    if not danced_below or first is None:
        return None
    whole = check_routine(
        (*below, *own[: first + 1]),
        floor=floor,
        taught=(),
        bar_beats=dance.beats_per_bar,
        words=words_of(dance),
    )
    return whole.joins[danced_below - 1]


def needs_of(dance: models.Dance) -> dict[str, frozenset[str]]:
    """Each figure of the dance -> the figures it needs, whether earlier or the same evening. Two queries."""
    needs: dict[str, set[str]] = {name: set() for name in dance.figures.values_list("name", flat=True)}
    pairs = models.Prerequisite.objects.filter(figure__dance=dance)
    for figure, needed in pairs.values_list("figure__name", "needs__name"):
        needs[figure].add(needed)
    return {name: frozenset(needed) for name, needed in needs.items()}


def steps_of(rows: Iterable[models.ChartStep], role: str) -> tuple[Step, ...]:
    """One role's steps, holds by their names. Reads each row's hold: fetch it with the rows."""
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


def facings_of(holds: Iterable[models.Hold]) -> dict[str, chart_couple.Hold]:
    """How the partners stand in each of these holds, by its name."""
    return {row.name: chart_couple.Hold(row.facing, row.same_foot) for row in holds}


def _items(rows: Iterable[models.RoutineItem]) -> tuple[RoutineItem, ...]:
    return tuple(CORNER if row.passage is None else passage_of(row.passage) for row in rows)


def _stance(hold: models.Hold | None, foot: str, place: int | None) -> Stance:
    return Stance(hold.name if hold else None, foot or None, place)
