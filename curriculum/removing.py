"""Deleting a level or a figure that was made by mistake, only while nothing hangs on it; and what is lost."""

from __future__ import annotations

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from curriculum.models import (
    Caution,
    ChartStep,
    Fault,
    Figure,
    FigureName,
    FigureVersion,
    Level,
    Passage,
    Prerequisite,
    Routine,
    StepChart,
)
from school.removal import remove_unused

# What a figure consists of, and what is nothing without it.
PARTS = (Caution, ChartStep, Fault, FigureName, FigureVersion, Passage, Prerequisite, StepChart)


def remove_level(level: Level) -> None:
    """ValidationError where it has figures or a routine, or a course or a person stands on it."""
    remove_unused(level)


def follows_figure(figure: Figure) -> tuple[str, ...]:
    """What is lost with a figure, in sentences. Five queries."""
    parts = (
        _counted(figure.charts.count(), "chart", "charts"),
        _counted(figure.passages.count(), "way in and out", "ways in and out"),
        _counted(figure.faults.count(), "fault", "faults"),
        _counted(figure.cautions.count(), "caution", "cautions"),
        _counted(figure.versions.count(), "version of its history", "versions of its history"),
    )
    return (
        f"{_go_with_it(parts)}It cannot be brought back.",
        "It goes only while no plan, no record, no routine and no other figure has it.",
    )


def follows_routine(routine: Routine) -> tuple[str, ...]:
    """What is lost with a routine, in sentences. Two queries."""
    parts = (
        _counted(routine.items.count(), "place of its row", "places of its row"),
        _counted(routine.versions.count(), "version of its history", "versions of its history"),
    )
    return (
        f"{_go_with_it(parts)}It cannot be brought back. Its figures stay.",
        "It goes only while no course dances it and no other routine goes on from it.",
    )


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}" if number else ""


def _go_with_it(parts: Iterable[str]) -> str:
    """ "2 charts and 1 fault go with it. ", or nothing."""
    said = [part for part in parts if part]
    if not said:
        return ""
    verb = "goes" if len(said) == 1 and said[0].startswith("1 ") else "go"
    return f"{' and '.join([', '.join(said[:-1]), said[-1]] if len(said) > 1 else said)} {verb} with it. "


@transaction.atomic
def remove_figure(figure: Figure) -> None:
    """ValidationError where another figure needs it, or a plan, a record or a routine has it."""
    opens = figure.opens.select_related("figure").first()
    if opens is not None:
        raise ValidationError(f"{figure.name} cannot be deleted: {opens.figure.name} needs it.")
    remove_unused(figure, own=PARTS)
