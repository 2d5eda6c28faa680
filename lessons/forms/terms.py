"""The form for a term."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from lessons.problems.wording import spoken_day
from lessons.rules.calendar import WEEK
from school.models import Term
from school.plain_forms import PlainWords, ReadFirst
from school.second_writer import OneRow

MOST_WEEKS = 53


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def require_order(form: forms.ModelForm, cleaned: dict[str, Any], what: str) -> dict[str, Any]:
    """The last day does not lie before the first, nor more than `MOST_WEEKS` after it; said at the last day.
    `what` lasts so long at most: "A term"."""
    first, last = cleaned.get("first_day"), cleaned.get("last_day")
    if first and last and last < first:
        form.add_error("last_day", "This lies before the first day.")
    elif first and last and last - first >= MOST_WEEKS * WEEK:
        form.add_error("last_day", f"{what} at most {MOST_WEEKS} weeks: until {spoken_day(_latest(first))}.")
    return cleaned


def _latest(first: dt.date) -> dt.date:
    return first + MOST_WEEKS * WEEK - dt.timedelta(days=1)


class TermForm(OneRow, ReadFirst, PlainWords, forms.ModelForm):
    class Meta:
        model = Term
        fields = ["name", "first_day", "last_day"]
        widgets = {"first_day": day_input(), "last_day": day_input()}
        error_messages = {"name": {"unique": "There is a term of that name already."}}

    def clean(self) -> dict[str, Any]:
        return require_order(self, super().clean() or {}, "A term lasts")
