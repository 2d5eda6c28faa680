"""The school's list for a level: a line is a figure or a habit, asked of leaders, followers, or both."""

from __future__ import annotations

import hashlib
from typing import Any

from django import forms
from django.db import models
from django.forms import BaseInlineFormSet, inlineformset_factory

from curriculum.models import Figure, FloorRole, Level
from lessons.models import Requirement
from school.plain_forms import PlainWords

ROLES = [("", "both"), (FloorRole.LEADER.value, "leaders"), (FloorRole.FOLLOWER.value, "followers")]


class RequirementForm(PlainWords, forms.ModelForm):
    class Meta:
        model = Requirement
        fields = ["position", "figure", "habit", "role"]
        widgets = {"position": forms.NumberInput(attrs={"inputmode": "numeric"})}
        labels = {"position": "Place", "figure": "A figure", "habit": "or a habit", "role": "Asked of"}

    def __init__(self, *args: Any, figures: models.QuerySet[Figure], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["figure"].queryset = figures
        self.fields["figure"].choices = [("", "none"), *((figure.pk, figure.name) for figure in figures)]
        self.fields["role"].choices = ROLES
        self.fields["position"].required = False

    def clean_position(self) -> int:
        return self.cleaned_data["position"] or 0

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        figure, habit = cleaned.get("figure"), cleaned.get("habit", "").strip()
        if figure and habit:
            self.add_error("habit", "A line is a figure or a habit: take one of them out.")
        elif not figure and not habit and not self.errors:
            self.add_error("figure", "Choose a figure, or write a habit.")
        return cleaned


# More is no list that anybody signs off; and each line takes a hundredth of a second to lay out.
MOST_LINES = 200


class RequirementsFormSet(BaseInlineFormSet):
    default_error_messages = {
        "too_many_forms": f"A level’s list has {MOST_LINES} lines at most. Only the first ones stand here."
    }

    def __init__(self, *args: Any, level: Level, **kwargs: Any) -> None:
        figures = Figure.objects.filter(dance=level.dance_id, level__rank__lte=level.rank)
        kwargs["form_kwargs"] = {"figures": _asked_once(figures.in_teaching_order())}
        rows = Requirement.objects.select_related("figure").order_by("position", "pk")
        super().__init__(*args, instance=level, queryset=rows, **kwargs)

    @property
    def as_it_stands(self) -> str:
        """The same as long as the list is the same: what was read is what is changed."""
        rows = Requirement.objects.filter(level=self.instance).order_by("pk")
        lines = list(rows.values_list("pk", "position", "figure", "habit", "role"))
        return hashlib.blake2s(repr(lines).encode(), digest_size=8).hexdigest()

    def clean(self) -> None:
        super().clean()
        if any(self.errors):
            return
        gone = [form.instance.pk for form in self.deleted_forms if form.instance.pk]
        for habit in Requirement.objects.filter(pk__in=gone, sign_offs__isnull=False).distinct():
            raise forms.ValidationError(
                f"Somebody has been signed off for “{habit}”: it stays in the list. Change its words instead."
            )
        read = self.data.get("read")
        if read != self.as_it_stands:
            raise forms.ValidationError(
                "Somebody else changed this list while you had it open. "
                f"It now asks for: {self._in_words()}. Nothing you typed is lost: look at it again, and save "
                "to let what stands here hold."
            )

    def _in_words(self) -> str:
        """The list as it stands, in a line. One query."""
        rows = Requirement.objects.filter(level=self.instance).select_related("figure")
        roles = dict(ROLES)
        said = [
            f"{row} ({roles[row.role]})" if row.role else str(row) for row in rows.order_by("position", "pk")
        ]
        return ", ".join(said) or "nothing"

    def get_unique_error_message(self, unique_check: Any) -> str:
        return "A figure stands here twice."


def _asked_once(figures: models.QuerySet[Figure]) -> models.QuerySet[Figure]:
    """Every line offers the same figures: they are read once for all of them."""
    len(figures)
    return figures


Requirements = inlineformset_factory(
    Level,
    Requirement,
    form=RequirementForm,
    formset=RequirementsFormSet,
    extra=4,
    max_num=MOST_LINES,
    absolute_max=MOST_LINES,
    validate_max=True,
    can_delete=True,
)
