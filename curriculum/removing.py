"""Deleting a level or a figure that was made by mistake: only while nothing hangs on it."""

from __future__ import annotations

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
    StepChart,
)
from school.removal import remove_unused

# What a figure consists of, and what is nothing without it.
PARTS = (Caution, ChartStep, Fault, FigureName, FigureVersion, Passage, Prerequisite, StepChart)


def remove_level(level: Level) -> None:
    """ValidationError where it has figures or a routine, or a course or a person stands on it."""
    remove_unused(level)


@transaction.atomic
def remove_figure(figure: Figure) -> None:
    """ValidationError where another figure needs it, or a plan, a record or a routine has it."""
    opens = figure.opens.select_related("figure").first()
    if opens is not None:
        raise ValidationError(f"{figure.name} cannot be deleted: {opens.figure.name} needs it.")
    remove_unused(figure, own=PARTS)
