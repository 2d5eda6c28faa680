"""Figures of a draft that belong together on one evening, or never two on one."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import combinations

from django.core.exceptions import ValidationError

from lessons.actions.turns import in_turn
from lessons.models import PlanFigure, PlanSet, TermPlan
from school.models import Person

TOGETHER, APART = PlanSet.Kind.TOGETHER, PlanSet.Kind.APART


@in_turn
def drop_set(*, plan: TermPlan, version: int, plan_set: PlanSet, by: Person) -> None:
    """Its figures go where they like again. One that is gone already is no mistake."""
    plan.sets.filter(pk=plan_set.pk).delete()


@in_turn
def set_company(
    *,
    plan: TermPlan,
    version: int,
    plan_figure: PlanFigure,
    together: Collection[PlanFigure] | None = None,
    apart: Collection[PlanFigure] | None = None,
    by: Person,
) -> None:
    """From one figure's own row: exactly whom it goes together with, and whom it keeps apart from.

    None leaves that kind as it is. What others have between them stays. ValidationError names the field
    `together` or `apart`.
    """
    for kind, chosen in ((TOGETHER, together), (APART, apart)):
        if chosen is not None:
            _keep_company(plan, kind, plan_figure, chosen)


def company_of(plan_figure: PlanFigure, kind: PlanSet.Kind) -> set[int]:
    """The plan figures (pk) it goes together with, or is kept apart from. No query with `sets__figures`
    prefetched."""
    rows = (row for row in plan_figure.sets.all() if row.kind == kind)
    return {member.pk for row in rows for member in row.figures.all()} - {plan_figure.pk}


def drop_lonely_sets(plan: TermPlan) -> None:
    """A set of one says nothing any more: after figures were taken out of the plan."""
    lonely = [row.pk for row in plan.sets.prefetch_related("figures") if len(row.figures.all()) < 2]
    plan.sets.filter(pk__in=lonely).delete()


def _keep_company(
    plan: TermPlan, kind: PlanSet.Kind, figure: PlanFigure, chosen: Iterable[PlanFigure]
) -> None:
    """Leave the sets that hold somebody not chosen; those chosen and not yet in a set with it join one."""
    wanted = {row.pk: row for row in chosen if row.pk != figure.pk}
    for row in plan.sets.filter(kind=kind, figures=figure).prefetch_related("figures"):
        others = {member.pk for member in row.figures.all()} - {figure.pk}
        if others <= wanted.keys():
            wanted = {pk: other for pk, other in wanted.items() if pk not in others}
        elif len(others) > 1:
            row.figures.remove(figure)
        else:
            row.delete()
    if wanted and kind == TOGETHER:
        _add_set(plan, kind, [figure, *wanted.values()])
    elif wanted:
        # Kept apart from each of them; they may meet each other.
        for other in wanted.values():
            _add_set(plan, kind, [figure, other])
    else:
        drop_lonely_sets(plan)


def _add_set(plan: TermPlan, kind: PlanSet.Kind, figures: Iterable[PlanFigure]) -> None:
    wanted = {row.pk for row in figures}
    rows = list(plan.figures.filter(pk__in=wanted))
    if len(rows) < len(wanted):
        raise ValidationError(
            {kind.value: "One of these figures is not in this plan any more. Choose again."}
        )
    there = plan.sets.filter(kind=kind).prefetch_related("figures")
    if not any(wanted == {member.pk for member in row.figures.all()} for row in there):
        PlanSet.objects.create(plan=plan, kind=kind).figures.set(rows)
    _refuse_both(plan, field=kind.value)


def _refuse_both(plan: TermPlan, *, field: str) -> None:
    """What goes together, directly or by way of another figure, cannot be kept apart as well."""
    names: dict[int, str] = {}
    members: dict[str, list[set[int]]] = {TOGETHER: [], APART: []}
    for row in plan.sets.prefetch_related("figures__figure"):
        names |= {member.pk: member.figure.name for member in row.figures.all()}
        members[row.kind].append({member.pk for member in row.figures.all()})
    joined: list[set[int]] = []
    for group in members[TOGETHER]:
        touching = [other for other in joined if other & group]
        joined = [other for other in joined if other not in touching] + [group.union(*touching)]
    for group in members[APART]:
        for one, other in combinations(sorted(group), 2):
            if any({one, other} <= together for together in joined):
                raise ValidationError(
                    {
                        field: f"{names[one]} and {names[other]} cannot both belong on one evening and "
                        "never be on one."
                    }
                )
