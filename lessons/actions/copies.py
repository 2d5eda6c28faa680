"""Copying a plan into a draft: what it asks, where everything stands, which figures go together."""

from __future__ import annotations

from lessons.models import PlanBar, PlanFigure, PlanIntroduction, PlanReview, PlanSet, TermPlan

DEMANDS = ("required", "importance", "parts", "earliest_id", "latest_id", "pinned_id")


def copy_plan(source: TermPlan, draft: TermPlan) -> None:
    """Give the (empty) draft everything the source has. A fixed number of queries, and two for each set."""
    rows = source.figures.prefetch_related("introductions", "reviews", "bars")
    copies = {
        row.pk: PlanFigure(
            plan=draft, figure_id=row.figure_id, **{field: getattr(row, field) for field in DEMANDS}
        )
        for row in rows
    }
    PlanFigure.objects.bulk_create(copies.values())
    PlanIntroduction.objects.bulk_create(
        PlanIntroduction(plan_figure=copies[row.pk], part=part.part, lesson_id=part.lesson_id)
        for row in rows
        for part in row.introductions.all()
    )
    PlanReview.objects.bulk_create(
        PlanReview(plan_figure=copies[row.pk], lesson_id=review.lesson_id, due_id=review.due_id)
        for row in rows
        for review in row.reviews.all()
    )
    PlanBar.objects.bulk_create(
        PlanBar(plan_figure=copies[row.pk], lesson_id=bar.lesson_id) for row in rows for bar in row.bars.all()
    )
    for group in source.sets.prefetch_related("figures"):
        copied = PlanSet.objects.create(plan=draft, kind=group.kind)
        copied.figures.set([copies[member.pk] for member in group.figures.all()])
