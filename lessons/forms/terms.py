"""The form for a term."""

from __future__ import annotations

from typing import Any

from django import forms

from school.models import Term
from school.plain_forms import PlainWords


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def require_order(form: forms.ModelForm, cleaned: dict[str, Any]) -> dict[str, Any]:
    """The last day does not lie before the first; said at the last day."""
    first, last = cleaned.get("first_day"), cleaned.get("last_day")
    if first and last and last < first:
        form.add_error("last_day", "This lies before the first day.")
    return cleaned


class TermForm(PlainWords, forms.ModelForm):
    class Meta:
        model = Term
        fields = ["name", "first_day", "last_day"]
        widgets = {"first_day": day_input(), "last_day": day_input()}
        error_messages = {"name": {"unique": "There is a term of that name already."}}

    def clean(self) -> dict[str, Any]:
        return require_order(self, super().clean() or {})
