"""Which earlier plan a course's new draft follows."""

from __future__ import annotations

from django import forms
from django.db import models
from django.db.models import QuerySet

from lessons.models import Course, PlanStatus, TermPlan
from school.plain_forms import PlainWords


class PlanChoice(forms.ModelChoiceField):
    def label_from_instance(self, plan: TermPlan) -> str:
        return f"{plan.course.term.name}: {plan.course.name}"


class CopyFromForm(PlainWords, forms.Form):
    plan = PlanChoice(label="Follow the plan of", queryset=TermPlan.objects.none(), empty_label=None)

    def __init__(self, course: Course, *args: object) -> None:
        super().__init__(*args)
        self.fields["plan"].queryset = plans_to_copy(course)


def plans_to_copy(course: Course) -> QuerySet[TermPlan]:
    """The published plans of other courses of the same dance: those of its levels first, the latest first."""
    plans = TermPlan.objects.filter(course__dance=course.dance_id, status=PlanStatus.PUBLISHED)
    plans = plans.exclude(course=course).select_related("course__term")
    levels = [level.pk for level in course.levels.all()]
    own = plans.filter(course__levels__in=levels).values("pk")
    return plans.alias(is_own=_is_in(own)).order_by("-is_own", "-course__term__first_day", "course__name")


def _is_in(rows: QuerySet[TermPlan]) -> models.Case:
    return models.Case(models.When(pk__in=rows, then=1), default=0)
