"""What was published for a course, by whom, and how long it was in force."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import F

from lessons.models import Course, PlanStatus, TermPlan


@dataclass(frozen=True)
class InForce:
    """A plan that was published; `until`: when it was replaced, None while it is in force."""

    plan: TermPlan
    since: dt.datetime | None
    until: dt.datetime | None

    @property
    def is_now(self) -> bool:
        return bool(self.plan.status == PlanStatus.PUBLISHED)


def published_page(course: Course) -> dict[str, Any]:
    """The newest first. One query."""
    rows = course.plans.exclude(status=PlanStatus.DRAFT).select_related("published_by")
    told = [
        InForce(plan, plan.published_at, plan.retired_at)
        for plan in rows.order_by(F("published_at").desc(nulls_last=True), "-pk")
    ]
    now = next((one.plan for one in told if one.is_now), None)
    return {"course": course, "told": told, "now": now}
