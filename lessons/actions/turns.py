"""Taking turns at a plan: whoever wrote first is never overwritten by somebody who did not see it."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import wraps
from typing import Any, NoReturn, ParamSpec

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from lessons.actions.errors import Overtaken
from lessons.actions.steps import one_step
from lessons.models import PlanStatus, TermPlan
from school.models import Person

logger = logging.getLogger(__name__)

P = ParamSpec("P")


def in_turn(write: Callable[P, None]) -> Callable[P, None]:
    """Make a write to a draft (`plan`, `version`, `by` among its keywords) one transaction and one turn.

    The version is raised first, by one conditional UPDATE, so until the transaction ends nobody else has a
    turn. `plan.version` follows once all went well. Raises Overtaken, or ValidationError for what is no
    draft.
    """

    @wraps(write)
    def writing(*args: P.args, **kwargs: P.kwargs) -> None:
        plan, version, by = _asked(kwargs)
        with transaction.atomic():
            turn = TermPlan.objects.filter(pk=plan.pk, version=version, status=PlanStatus.DRAFT)
            if not turn.update(version=F("version") + 1):
                _refuse_turn(plan, version)
            with one_step(plan=plan, by=by):
                write(*args, **kwargs)
        plan.version = version + 1
        logger.info("%s made plan %s version %d: %s", by, plan.pk, plan.version, write.__name__)

    return writing


def _asked(kwargs: dict[str, Any]) -> tuple[TermPlan, int, Person]:
    return kwargs["plan"], kwargs["version"], kwargs["by"]


def _refuse_turn(plan: TermPlan, version: int) -> NoReturn:
    now = TermPlan.objects.get(pk=plan.pk)
    if now.version == version:
        raise ValidationError(
            f"This plan is {now.get_status_display()} and is not changed any more. Start a draft from it."
        )
    if now.status != PlanStatus.DRAFT:
        raise Overtaken(
            f"This plan has been {now.get_status_display()} while you had it open. "
            "Your change was not made: start a draft from it."
        )
    raise Overtaken(
        f"Somebody changed this plan while you had it open: it was version {version} and is now version "
        f"{now.version}. Your change was not made. Look at the plan as it stands, then change it again."
    )
