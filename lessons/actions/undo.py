"""Taking steps of a draft back."""

from __future__ import annotations

from lessons.actions.steps import no_step, undo_from
from lessons.actions.turns import in_turn
from lessons.models import DraftStep, TermPlan
from school.models import Person


def take_back(*, plan: TermPlan, version: int, step: DraftStep, by: Person) -> None:
    """Let the draft stand as it did before `step`: that one and all after it are undone.

    Raises Overtaken where somebody changed the draft after `version`; ValidationError where the step was
    taken back already.
    """
    with no_step():
        _take_back(plan=plan, version=version, step=step, by=by)


@in_turn
def _take_back(*, plan: TermPlan, version: int, step: DraftStep, by: Person) -> None:
    undo_from(plan, step, by)
