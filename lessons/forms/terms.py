"""Forms for a term and for days without class."""

from __future__ import annotations

from typing import Any

from django import forms

from school.models import Closure, Term


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def require_order(form: forms.ModelForm, cleaned: dict[str, Any]) -> dict[str, Any]:
    """The last day does not lie before the first; said at the last day."""
    first, last = cleaned.get("first_day"), cleaned.get("last_day")
    if first and last and last < first:
        form.add_error("last_day", "This lies before the first day.")
    return cleaned


class TermForm(forms.ModelForm):
    class Meta:
        model = Term
        fields = ["name", "first_day", "last_day"]
        widgets = {"first_day": day_input(), "last_day": day_input()}
        error_messages = {"name": {"unique": "There is a term of that name already."}}

    def clean(self) -> dict[str, Any]:
        return require_order(self, super().clean() or {})


class ClosureForm(forms.ModelForm):
    """`seen`: the lessons the director was shown as falling out, so that none falls out unseen."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Closure
        fields = ["first_day", "last_day", "reason", "room"]
        widgets = {"first_day": day_input(), "last_day": day_input()}
        labels = {"reason": "Why", "room": "Only in one room"}
        help_texts = {"reason": "Instructors and students read this.", "room": "Empty: the whole school."}

    def clean(self) -> dict[str, Any]:
        return require_order(self, super().clean() or {})
