"""The dance's rows into what the comparison works on."""

from __future__ import annotations

from collections import defaultdict

from curriculum.models import Dance, Figure, Passage, Prerequisite, RoutineItem
from curriculum.spreadsheet.cells import tidy, tidy_name
from curriculum.spreadsheet.values import Standing, StandingFigure, Way


def standing_of(dance: Dance) -> Standing:
    """The dance as it stands. Seven queries, however many figures."""
    needs: dict[int, list[str]] = defaultdict(list)
    for row in Prerequisite.objects.filter(figure__dance=dance).select_related("needs").order_by("pk"):
        needs[row.figure_id].append(tidy_name(row.needs.name))
    ways: dict[int, dict[Way, None]] = defaultdict(dict)
    for passage in passages_in_order(dance):
        ways[passage.figure_id][way_of(passage)] = None
    danced = _danced(dance)
    figures = Figure.objects.filter(dance=dance).select_related("level").prefetch_related("names")
    return Standing(
        dance=dance.name,
        levels=tuple(dance.levels.order_by("rank").values_list("name", flat=True)),
        holds=dict(dance.holds.order_by("pk").values_list("name", "key")),
        figures=tuple(
            StandingFigure(
                name=tidy_name(figure.name),
                level=figure.level.name,
                other_names=tuple(tidy_name(name) for name in figure.other_names),
                ticks=figure.ticks,
                minutes=figure.minutes_to_introduce,
                review_minutes=figure.minutes_to_review,
                ways=tuple(ways[figure.pk]),
                needs=tuple(needs[figure.pk]),
                notes=tidy(figure.notes),
                danced={way: tuple(names) for way, names in danced[figure.pk].items()},
            )
            for figure in figures.in_teaching_order()
        ),
    )


def passages_in_order(dance: Dance) -> list[Passage]:
    """Every passage of the dance with its holds. One query."""
    rows = Passage.objects.filter(figure__dance=dance).select_related("entry_hold", "exit_hold")
    return list(rows.order_by("figure", "position", "pk"))


def way_of(passage: Passage) -> Way:
    """The names of the holds a passage starts and ends in."""
    return (
        passage.entry_hold.name if passage.entry_hold else None,
        passage.exit_hold.name if passage.exit_hold else None,
    )


def _danced(dance: Dance) -> dict[int, dict[Way, dict[str, None]]]:
    """Figure -> way -> the routines that dance it."""
    danced: dict[int, dict[Way, dict[str, None]]] = defaultdict(lambda: defaultdict(dict))
    items = RoutineItem.objects.filter(passage__figure__dance=dance).select_related(
        "routine", "passage__entry_hold", "passage__exit_hold"
    )
    for item in items.order_by("routine", "position"):
        danced[item.passage.figure_id][way_of(item.passage)][item.routine.name] = None
    return danced
