"""Forms about plans: the figures a draft teaches, a planning run, a draft's name."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django import forms

from curriculum.models import Figure
from lessons.models import PlanFigure
from lessons.rules.importance import importance_choices
from school.plain_forms import PlainWords

WHICH = "Choose how much it matters."
SECONDS = [(5, "5 seconds"), (10, "10 seconds"), (30, "half a minute"), (120, "two minutes")]


class PlanFiguresForm(PlainWords, forms.Form):
    """Which figures a draft teaches, each required or not and how important: one row a figure."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        figures: Sequence[Figure],
        rows: dict[int, PlanFigure],
        taught: dict[int, dt.date],
        version: int,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, initial={"version": version}, **kwargs)
        self.figures, self.taught = figures, taught
        for figure in figures:
            row = rows.get(figure.pk)
            self.fields[f"teach-{figure.pk}"] = forms.BooleanField(
                label=f"teach {figure.name}", required=False, initial=row is not None
            )
            self.fields[f"required-{figure.pk}"] = forms.BooleanField(
                label=f"{figure.name} must be taught", required=False, initial=row.required if row else True
            )
            self.fields[f"importance-{figure.pk}"] = forms.TypedChoiceField(
                label=f"how much {figure.name} matters",
                coerce=int,
                choices=importance_choices(row.importance if row else None),
                initial=row.importance if row else 1,
                error_messages={"required": WHICH, "invalid_choice": WHICH},
            )

    def lines(self) -> list[dict[str, Any]]:
        """Each figure with its three fields, and the day it was taught, for the page."""
        return [
            {
                "figure": figure,
                "taught": self.taught.get(figure.pk),
                **{part: self[f"{part}-{figure.pk}"] for part in ("teach", "required", "importance")},
            }
            for figure in self.figures
        ]

    def chosen(self) -> list[Figure]:
        return [figure for figure in self.figures if self.cleaned_data[f"teach-{figure.pk}"]]

    def wishes(self) -> dict[int, tuple[bool, int]]:
        """Figure (pk) -> required, importance; of those chosen."""
        return {
            figure.pk: (
                self.cleaned_data[f"required-{figure.pk}"],
                self.cleaned_data[f"importance-{figure.pk}"],
            )
            for figure in self.chosen()
        }


class RunForm(PlainWords, forms.Form):
    seconds = forms.TypedChoiceField(label="Search for at most", choices=SECONDS, coerce=int, initial=10)


class DraftNameForm(PlainWords, forms.Form):
    name = forms.CharField(
        label="Name", max_length=80, help_text="So that you tell it from other drafts of the course."
    )
